"""Verify: whether book and weather are whole, and a library file reads."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from arbuscula.catalog.entry import FILES, read_entry
from arbuscula.catalog.library import read_pots, read_sources
from arbuscula.desk import Desk
from arbuscula.desk.library import EntryView, entry_view
from arbuscula.kinds.pot import Pot
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
    entry: EntryView | None = None  # of a library file that reads


def verify(desk: Desk) -> Verified:
    """Say whether book and weather are whole."""
    faults = (*verify_store(desk.ledger()), *verify_archive(desk.archive()))
    events_n = None if faults else position(desk.ledger())
    return Verified(what="book", events_n=events_n, faults=faults)


def verify_file(desk: Desk, path: Path) -> Verified:
    """Say whether a file of one's own library reads, why not, and what it tells."""
    faults: list[Said] = []
    beside = _library_of(path) / "sources.toml"
    own = gathered(lambda: read_sources(beside), faults) if beside.is_file() else {}
    sources = {**desk.sources(), **(own or {})}
    if path.suffix == ".csv":
        pots = gathered(lambda: read_pots(path), faults)
        told = (
            None if pots is None else ("pots", {f"{n}": p for n, p in _counted(pots)})
        )
    else:
        told = gathered(lambda: read_entry(path, sources), faults)
    view = None if told is None else entry_view(told[0], path.stem, told[1], sources)
    return Verified(what=path.name, events_n=None, faults=tuple(faults), entry=view)


def _library_of(path: Path) -> Path:
    """Return the folder of the library that a file lies in, or would."""
    folder = path.resolve().parent
    return folder if path.name in FILES else folder.parent


def _counted(pots: tuple[Pot, ...]) -> Iterator[tuple[int, Pot]]:
    return enumerate(pots, 1)
