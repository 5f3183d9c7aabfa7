"""Verify: whether book and weather are whole, and a library file reads."""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from arbuscula.catalog.entry import read_entry
from arbuscula.catalog.library import read_sources
from arbuscula.desk import Desk
from arbuscula.desk.backup import BackupNote, BackupNotes, notes_in
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


def verify(desk: Desk) -> Verified:
    """Say whether book and weather are whole, and as the last backup knew them."""
    notes = notes_in(desk.home)
    store = verify_store(desk.ledger(), noted=_furthest(notes))
    faults = (*store, *verify_archive(desk.archive()))
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
    """Say whether a species or a substrate of one's own reads, and why not."""
    faults: list[Said] = []
    beside = path.resolve().parent.parent / "sources.toml"  # of the library it is in
    own = gathered(lambda: read_sources(beside), faults) if beside.is_file() else {}
    sources = {**desk.library().sources, **(own or {})}
    gathered(lambda: read_entry(path, sources), faults)
    return Verified(what=path.name, events_n=None, faults=tuple(faults))
