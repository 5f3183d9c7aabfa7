"""Desk: the one counter at which every face asks. One verb, one module."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from arbuscula.kinds.library import Library
from arbuscula.kinds.values import Source

if TYPE_CHECKING:
    from arbuscula.ledger.book import Ledger
    from arbuscula.science.water.lanes import Carry
    from arbuscula.weather.archive import Archive
    from arbuscula.weather.world import World


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """What a verb needs at hand; a room is opened when it is first asked for."""

    library: Callable[[], Library]  # ours, and the grower's own
    sources: Callable[[], Mapping[str, Source]]  # ours alone
    ledger: Callable[[], "Ledger"]
    archive: Callable[[], "Archive"]
    world: Callable[[], "World"]
    clock: Callable[[], datetime]
    new_id: Callable[[], str]
    home: Path  # of snapshots; they may be lost at any time
    code_digest: Callable[[], str]  # of science, state and library
    carry: Callable[[int], "Carry"]  # what carries so many trees through hours
