"""Benches page: all benches, and every pot where it stands, as the round has it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from arbuscula.desk import Desk
from arbuscula.desk.bench import BenchRow, list_benches
from arbuscula.desk.round import Round
from arbuscula.desk.today import BenchToday


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchesPage:
    """The answer: every bench, and what the round in hand says of its trees."""

    schema: Literal["arbuscula.benches_page/1"] = "arbuscula.benches_page/1"
    at: datetime  # of the round
    benches: tuple[BenchRow, ...]
    standing: tuple[BenchToday, ...]


def benches_page(desk: Desk, walk: Round) -> BenchesPage:
    """Return all benches beside a round that was walked."""
    return BenchesPage(
        at=walk.today.at,
        benches=list_benches(desk).benches,
        standing=walk.today.benches,
    )
