"""Verify: whether book and weather are whole, and a library file reads."""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from arbuscula.desk import Desk
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.species import Species
from arbuscula.kinds.substrate import Substrate
from arbuscula.ledger.book import position
from arbuscula.ledger.verify import verify_store
from arbuscula.strict.kinds import kind_from_table, table_from_toml
from arbuscula.strict.text import text_of_file
from arbuscula.weather.archive import verify_archive


@dataclass(frozen=True, slots=True, kw_only=True)
class Verified:
    """The answer: what was looked at, and every fault of it."""

    schema: Literal["arbuscula.verify/1"] = "arbuscula.verify/1"
    what: str
    events_n: int | None
    faults: tuple[Said, ...]


def verify(desk: Desk) -> Verified:
    """Say whether book and weather are whole."""
    faults = (*verify_store(desk.ledger()), *verify_archive(desk.archive()))
    events_n = None if faults else position(desk.ledger())
    return Verified(what="book", events_n=events_n, faults=faults)


def verify_file(desk: Desk, path: Path) -> Verified:
    """Say whether a species or a substrate of one's own reads, and why not."""
    library = desk.library()
    try:
        table = table_from_toml(text_of_file(path), name=path.name)
        kind = Species if "latin" in table else Substrate
        kind_from_table(table, kind, name=path.name, sources=library.sources)
        faults: tuple[Said, ...] = ()
    except ArbusculaError as error:
        faults = error.faults
    return Verified(what=path.name, events_n=None, faults=faults)
