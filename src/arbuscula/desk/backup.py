"""Backup: the grower's whole folder as one file, opened again before it counts."""

import json
from dataclasses import dataclass, replace
from datetime import datetime
from importlib.metadata import version
from pathlib import Path
from shutil import copyfile
from typing import Final, Literal

from arbuscula.desk import Desk
from arbuscula.desk.fresh import fresh, scratch
from arbuscula.desk.parcel import Contents, Manifest, manifest_of, pack, unpack
from arbuscula.desk.photos import photos_n
from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.ledger.backup import book_in, copy_book, copy_database
from arbuscula.ledger.book import Ledger, digest_at, head
from arbuscula.ledger.chain import Head
from arbuscula.ledger.lines import as_json, json_text
from arbuscula.ledger.persons import all_persons
from arbuscula.ledger.verify import verify_store
from arbuscula.strict.kinds import kind_from_table
from arbuscula.weather.archive import Archive, archive_at, position, verify_archive

BOOK: Final = "book.db"
WEATHER: Final = "weather.db"
NOTES: Final = "backups.json"
MADE_ANEW: Final = ("snapshots", NOTES, BOOK)  # or copied in another way
PASSING: Final = (".new", "-wal", "-shm", "-journal")  # endings
DATABASE: Final = b"SQLite format 3\0"


@dataclass(frozen=True, slots=True, kw_only=True)
class BackedUp:
    """The answer: what lies in the file, counted after it was opened again."""

    schema: Literal["arbuscula.backup/1"] = "arbuscula.backup/1"
    file: str
    bytes_n: int
    contents: Contents
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupNote:
    """One backup, and when it was made or restored."""

    at: datetime
    file: str
    contents: Contents


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupNotes:
    """What stands beside the book about its backups."""

    schema: Literal["arbuscula.backups/1"] = "arbuscula.backups/1"
    made: BackupNote | None = None
    restored: BackupNote | None = None  # and counted: it was as it had been made


def backup(desk: Desk, path: Path) -> BackedUp:
    """Put the whole folder into one file, while others write."""
    _refuse_at_home(desk.home, path)
    _refuse_to_lose(desk, path)
    with fresh(path) as new, scratch(path) as folder:
        contents = _gathered(desk, _made(folder / "home"))
        manifest = pack(folder / "home", new, contents)
        whole_folder(new, _made(folder / "again"))
        bytes_n = new.stat().st_size
    note_made = BackupNote(at=contents.made_at, file=path.name, contents=contents)
    note(desk.home, replace(notes_in(desk.home), made=note_made))
    return BackedUp(
        file=str(path),
        bytes_n=bytes_n,
        contents=contents,
        parts=tuple(part.name for part in manifest.parts),
    )


def whole_folder(path: Path, folder: Path) -> Manifest:
    """Unpack a backup and count what is in it; whatever is amiss is a fault."""
    manifest = unpack(path, folder)
    noted = manifest.contents
    end = Head(position_n=noted.position_n, digest=noted.digest)
    archive = archive_at(folder / WEATHER)
    with book_in(folder / BOOK) as ledger:
        faults = (*verify_store(ledger, noted=end), *verify_archive(archive))
        if faults:
            raise NotDoneError(*faults)
        found = _counted(ledger, archive, folder, noted)
    if found != noted:
        raise NotDoneError(_miscounted(found, noted))
    return manifest


def _counted(
    ledger: Ledger, archive: Archive, folder: Path, noted: Contents
) -> Contents:
    """Return what is noted of a folder, with what is counted there."""
    end = head(ledger)
    return replace(
        noted,
        position_n=end.position_n,
        digest=end.digest,
        persons_n=len(all_persons(ledger)),
        batches_n=position(archive),
        photos_n=photos_n(folder),
    )


def _miscounted(found: Contents, noted: Contents) -> Said:
    counts = {
        "events": f"{found.position_n}",
        "persons": f"{found.persons_n}",
        "batches": f"{found.batches_n}",
        "photos": f"{found.photos_n}",
        "noted_events": f"{noted.position_n}",
        "noted_persons": f"{noted.persons_n}",
        "noted_batches": f"{noted.batches_n}",
        "noted_photos": f"{noted.photos_n}",
    }
    return Said("backup.miscounted", counts)


def _refuse_at_home(home: Path, path: Path) -> None:
    """Refuse a place where one accident would take the book and its backup."""
    if path.resolve().is_relative_to(home.resolve()):
        figures = {"file": str(path), "home": str(home)}
        raise ArbusculaError(Said("backup.at_home", figures))


def _refuse_to_lose(desk: Desk, path: Path) -> None:
    """Let only an older backup of this very book be written over."""
    if not path.exists():
        return
    try:
        old = manifest_of(path).contents
    except ArbusculaError:
        raise NotDoneError(Said("backup.other_file", {"file": str(path)})) from None
    if digest_at(desk.ledger(), old.position_n) != old.digest:
        figures = {"file": str(path), "events": f"{old.position_n}"}
        raise NotDoneError(Said("backup.other_book", figures))


def _gathered(desk: Desk, folder: Path) -> Contents:
    """Copy all that is worth keeping, and count it."""
    desk.archive()  # there is one from now on
    copy_book(desk.ledger(), folder / BOOK)
    for path in _worth_keeping(desk.home):
        into = folder / path.relative_to(desk.home)
        into.parent.mkdir(parents=True, exist_ok=True)
        _copy(path, into)
    nothing = Contents(made_at=desk.clock(), program=version("arbuscula"))
    with book_in(folder / BOOK) as ledger:
        return _counted(ledger, archive_at(folder / WEATHER), folder, nothing)


def _worth_keeping(home: Path) -> list[Path]:
    """Return every file that could not be made anew, but for the book."""
    files = [path for path in sorted(home.rglob("*")) if path.is_file()]
    return [
        path
        for path in files
        if path.relative_to(home).parts[0] not in MADE_ANEW
        and not path.name.endswith(PASSING)
    ]


def _copy(path: Path, into: Path) -> None:
    try:
        copy = copy_database if _is_database(path) else copyfile
        copy(path, into)
    except OSError as error:
        found = (error.strerror or str(error)).lower()
        figures = {"file": str(path), "found": found}
        raise NotDoneError(Said("backup.not_copied", figures)) from error


def _is_database(path: Path) -> bool:
    with path.open("rb") as file:
        return file.read(len(DATABASE)) == DATABASE


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder


def notes_in(home: Path) -> BackupNotes:
    """Return what is noted of backups; a note that cannot be read is none."""
    try:
        table = json.loads((home / NOTES).read_bytes())
        return kind_from_table(table, BackupNotes, name=NOTES)
    except (OSError, ValueError, ArbusculaError):
        return BackupNotes()


def note(home: Path, notes: BackupNotes) -> None:
    """Write down beside the book what is known of its backups."""
    with fresh(home / NOTES) as new:
        new.write_text(json_text(as_json(notes)), encoding="ascii")
