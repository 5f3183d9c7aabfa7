"""Backup: book and persons as they are at one moment, while others write."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Final, cast

from sqlalchemy import URL

from arbuscula.kinds.said import NotDoneError, Said
from arbuscula.ledger.book import Ledger, head
from arbuscula.ledger.exchange import Taken, book_lines, take_lines
from arbuscula.ledger.persons import all_persons, keep_person
from arbuscula.ledger.store.engine import engine_at

BUSY_S: Final = 30.0


def copy_book(ledger: Ledger, into: Path) -> None:
    """Copy book and persons into a file, whatever database they are in."""
    if ledger.engine.dialect.name == "sqlite":
        with closing(ledger.engine.raw_connection()) as lent:
            _copy(cast("sqlite3.Connection", lent.driver_connection), into)
    else:
        with book_in(into) as copy:
            pour(ledger, copy)


def pour(source: Ledger, target: Ledger) -> Taken:
    """Take book and persons of one store over into another."""
    taken = take_lines(target, book_lines(source, head(source)), name="book")
    keep_person(target, *all_persons(source))
    return taken


def copy_database(path: Path, into: Path) -> None:
    """Copy any SQLite database as it is at one moment."""
    with closing(sqlite3.connect(path, timeout=BUSY_S)) as source:
        _copy(source, into)


def _copy(source: sqlite3.Connection, into: Path) -> None:
    """Copy all pages in one go; in WAL mode no writer has to wait for it."""
    try:
        with closing(sqlite3.connect(into)) as fresh:
            source.backup(fresh)
    except sqlite3.Error as error:
        figures = {"file": into.name, "found": str(error)}
        raise NotDoneError(Said("backup.not_copied", figures)) from error


@contextmanager
def book_in(path: Path) -> Iterator[Ledger]:
    """Lend the book that lies in a file."""
    address = URL.create("sqlite", database=str(path))
    ledger = Ledger(engine_at(address.render_as_string()))
    try:
        yield ledger
    finally:
        ledger.engine.dispose()


def is_in_use(path: Path) -> bool:
    """Return whether somebody else has the book in this file open.

    Only who is alone with it may take it out of WAL mode; whoever opens it next
    puts it back. A file that is no database is of no use to anybody.
    """
    if not path.exists():
        return False
    try:
        with closing(sqlite3.connect(path, timeout=0)) as db:
            db.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.Error as error:
        return error.sqlite_errorcode == sqlite3.SQLITE_BUSY
    return False
