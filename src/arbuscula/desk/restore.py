"""Restore: a backup becomes a folder again, counted before anything is moved."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC
from pathlib import Path
from typing import Literal

from arbuscula.desk import Desk
from arbuscula.desk.backup import (
    BOOK,
    BackupNote,
    BackupNotes,
    note,
    notes_in,
    whole_folder,
)
from arbuscula.desk.fresh import explained, folder_to_disk, scratch, tree_to_disk
from arbuscula.desk.parcel import Contents
from arbuscula.kinds.said import NotDoneError, Said
from arbuscula.ledger.backup import book_in, is_in_use, pour
from arbuscula.ledger.book import digest_at, position


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """The answer: what was counted, where it is, and where the old one went."""

    schema: Literal["arbuscula.restore/1"] = "arbuscula.restore/1"
    file: str
    contents: Contents
    into: str | None = None  # None: it was only counted
    aside: str | None = None  # where what was there before is now
    newer_n: int | None = None  # events of that which the backup lacks, if known


def restore(
    desk: Desk, path: Path, *, into: Path | None = None, replaces: bool = False
) -> Restored:
    """Bring a backup back; what is there already is moved aside, never deleted."""
    home = (into or desk.home).absolute()
    aside = _aside(desk, home)
    if aside and not replaces:
        raise NotDoneError(Said("restore.not_empty", {"home": str(home)}))
    if is_in_use(home / BOOK):
        raise NotDoneError(Said("restore.in_use", {"home": str(home)}))
    with _unpacked(path, home) as (whole, contents):
        newer_n = _newer_n(home, contents) if aside else None
        with _in_place_of(home, whole, aside):
            if into is None:
                _pour_into_server(desk, home)
    _note_restored(desk, contents, path, home)
    return Restored(
        file=str(path),
        contents=contents,
        into=str(home),
        aside=str(aside) if aside else None,
        newer_n=newer_n,
    )


def rehearse(desk: Desk, path: Path) -> Restored:
    """Show that a backup could be brought back: unpack it, count it, clear it away."""
    with _unpacked(path, desk.home.absolute()) as (whole, contents):
        _note_restored(desk, contents, path, whole)
    return Restored(file=str(path), contents=contents)


@contextmanager
def _unpacked(path: Path, home: Path) -> Iterator[tuple[Path, Contents]]:
    """Lend the whole folder of a backup, counted, beside where it is to be."""
    with explained(home):
        home.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with scratch(home) as folder:
        whole = folder / "home"
        whole.mkdir(mode=0o700)
        contents = whole_folder(path, whole).contents
        tree_to_disk(whole)
        yield whole, contents


def _aside(desk: Desk, home: Path) -> Path | None:
    """Return where to put what is there now; None if there is nothing."""
    with explained(home):
        if not home.exists() or (home.is_dir() and not any(home.iterdir())):
            return None
    at = desk.clock().astimezone(UTC)
    return home.with_name(f"{home.name}-before-{at:%Y%m%dT%H%M%SZ}")


def _newer_n(home: Path, contents: Contents) -> int | None:
    """Return how many events the book that is there has over a backup."""
    if not (home / BOOK).exists():
        return None
    try:
        with book_in(home / BOOK) as old:
            if digest_at(old, contents.position_n) == contents.digest:
                return position(old) - contents.position_n
    except NotDoneError:  # it is damaged: that may be why a backup is wanted
        pass
    return None


@contextmanager
def _in_place_of(home: Path, whole: Path, aside: Path | None) -> Iterator[None]:
    """Put a folder where another one is; put both back if more goes wrong."""
    if aside:
        _move(home, aside)
    _move(whole, home)
    try:
        yield
    except BaseException:
        _move(home, whole)
        if aside:
            _move(aside, home)
        raise


def _move(source: Path, target: Path) -> None:
    with explained(target):
        if target.is_dir():
            target.rmdir()  # only an empty one goes
        source.rename(target)
        folder_to_disk(target.parent)


def _pour_into_server(desk: Desk, home: Path) -> None:
    """Take the book over to where it is kept, if that is not in the folder."""
    ledger = desk.ledger()
    if ledger.engine.dialect.name == "sqlite":
        return
    with book_in(home / BOOK) as restored:
        pour(restored, ledger)
    (home / BOOK).unlink()


def _note_restored(desk: Desk, contents: Contents, path: Path, into: Path) -> None:
    """Note that a backup was whole: beside it, and beside the book it was made of."""
    counted = BackupNote(at=desk.clock(), file=path.name, contents=contents)
    made = replace(counted, at=contents.made_at)
    note(into, BackupNotes(made=made, restored=counted))
    if into != desk.home.absolute() and _is_of_own_book(desk, contents):
        note(desk.home, replace(notes_in(desk.home), restored=counted))


def _is_of_own_book(desk: Desk, contents: Contents) -> bool:
    if not desk.home.exists() or not any(desk.home.iterdir()):
        return False
    try:
        return digest_at(desk.ledger(), contents.position_n) == contents.digest
    except NotDoneError:  # it is damaged
        return False
