"""Verify: whether book and weather are whole, and a library file reads."""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from arbuscula.catalog.entry import read_entry
from arbuscula.catalog.library import read_sources
from arbuscula.desk import Desk
from arbuscula.kinds.said import Said
from arbuscula.ledger.book import position
from arbuscula.ledger.verify import verify_store
from arbuscula.strict.faults import gathered
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
    faults: list[Said] = []
    beside = path.resolve().parent.parent / "sources.toml"  # of the library it is in
    own = gathered(lambda: read_sources(beside), faults) if beside.is_file() else {}
    sources = {**desk.library().sources, **(own or {})}
    gathered(lambda: read_entry(path, sources), faults)
    return Verified(what=path.name, events_n=None, faults=tuple(faults))
