"""Verify: whether book, photos and weather are whole, and a library file reads."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from arbuscula.catalog.entry import FILES, read_entry
from arbuscula.catalog.library import read_pots, read_sources
from arbuscula.desk import Desk
from arbuscula.desk.backup import BackupNote, BackupNotes, notes_in
from arbuscula.desk.library import EntryView, entry_view
from arbuscula.desk.photos import verify_photos
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import Said
from arbuscula.ledger.book import position
from arbuscula.ledger.chain import Head
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
    made: BackupNote | None = None  # the last backup of this book
    restored: BackupNote | None = None  # the last that was unpacked and counted
    entry: EntryView | None = None  # of a library file that reads


def verify(desk: Desk) -> Verified:
    """Say whether all that is kept is whole, and as the last backup knew it."""
    notes = notes_in(desk.home)
    store = verify_store(desk.ledger(), noted=_furthest(notes))
    photos = () if store else verify_photos(desk)
    faults = (*store, *photos, *verify_archive(desk.archive()))
    return Verified(
        what="book",
        events_n=None if faults else position(desk.ledger()),
        faults=faults,
        made=notes.made,
        restored=notes.restored,
    )


def _furthest(notes: BackupNotes) -> Head:
    """Return the furthest end of the book that a backup has seen."""
    seen = [note.contents for note in (notes.made, notes.restored) if note]
    heads = [Head(position_n=one.position_n, digest=one.digest) for one in seen]
    return max(heads, key=lambda head: head.position_n, default=Head())


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
