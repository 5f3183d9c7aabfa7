"""Archive: what each source told, and when; it only grows."""

import json
import sqlite3
from collections.abc import Generator, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, fields, replace
from hashlib import sha256
from pathlib import Path
from typing import Final

import numpy as np

from arbuscula.kinds.forecast import Asked, Batch, Kept, Validity, WeatherSort
from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.kinds.weather import WeatherRows
from arbuscula.weather.packed import (
    QUANTITIES,
    TIMES,
    as_stored,
    members_n,
    packed,
    quantity,
    rows_from,
    unpacked,
)
from arbuscula.weather.plausible import impossible

VERSION: Final = 1
BUSY_S: Final = 30.0  # how long a writer waits for the one before it
REFUSED: Final = "the archive only grows"

TABLES: Final = """
CREATE TABLE batch (
    position_n INTEGER PRIMARY KEY, digest TEXT NOT NULL, yard TEXT NOT NULL,
    source TEXT NOT NULL, sort TEXT NOT NULL, issued_s REAL NOT NULL,
    read_s REAL NOT NULL, from_s REAL NOT NULL, until_s REAL NOT NULL,
    rows_n INTEGER NOT NULL, members_n INTEGER NOT NULL, attribution TEXT NOT NULL,
    rows BLOB NOT NULL
) STRICT;
CREATE INDEX batch_of_yard ON batch (yard, sort, until_s);
CREATE TABLE asked (
    position_n INTEGER PRIMARY KEY, yard TEXT NOT NULL, source TEXT NOT NULL,
    at_s REAL NOT NULL, outcome TEXT NOT NULL, because TEXT NOT NULL,
    address TEXT NOT NULL, last_modified TEXT NOT NULL, expires_s REAL NOT NULL
) STRICT;
CREATE INDEX asked_of_yard ON asked (yard, source);
"""

# REPLACE deletes without asking the trigger on DELETE, hence the third one.
GUARDS: Final = {
    f"{table}_no_{verb}": f"CREATE TRIGGER {table}_no_{verb} BEFORE {when} "
    f"BEGIN SELECT RAISE(ABORT, '{REFUSED}'); END"
    for table in ("batch", "asked")
    for verb, when in {
        "update": f"UPDATE ON {table}",
        "delete": f"DELETE ON {table}",
        "replace": f"INSERT ON {table} WHEN EXISTS "  # noqa: S608 - our own names
        f"(SELECT 1 FROM {table} WHERE position_n >= NEW.position_n)",
    }.items()
}

KEPT: Final = tuple(field.name for field in fields(Kept))
CHAINED: Final = KEPT[2:]
ALL: Final = f"SELECT {', '.join(KEPT)} FROM batch"  # noqa: S608 - our own names
FULL: Final = f"SELECT {', '.join(KEPT)}, rows FROM batch"  # noqa: S608 - our own names
KNOWN: Final = "WHERE yard = ? AND issued_s <= ? AND read_s <= ? AND position_n <= ?"
MOST: Final = 2**62
ASKED: Final = (
    "SELECT yard, source, at_s, outcome, because, address, last_modified, expires_s "
    "FROM asked WHERE yard = ?"
)


@dataclass(frozen=True, slots=True)
class Archive:
    """Where the archive lies. Each asking opens it anew."""

    path: Path


def archive_at(path: Path) -> Archive:
    """Open the archive, making it where there is none."""
    archive = Archive(path)
    with _opened(archive) as db:
        if _version(db) == 0:
            _refuse_others(db)
            db.execute("PRAGMA journal_mode = WAL")
            with _alone(db):
                if _version(db) == 0:  # nobody was faster
                    _make(db)
        if (found := _version(db)) != VERSION:
            figures = {"found": f"{found}", "known": f"{VERSION}"}
            raise NotDoneError(Said("weather.archive_version", figures))
    return archive


def _refuse_others(db: sqlite3.Connection) -> None:
    """Leave a database alone that is in use for something else."""
    found = db.execute("SELECT name FROM sqlite_schema").fetchone()
    if found and _version(db) == 0:
        raise NotDoneError(Said("weather.archive_not_ours", {"found": found[0]}))


def _make(db: sqlite3.Connection) -> None:
    for statement in (*TABLES.split(";\n")[:-1], *GUARDS.values()):
        db.execute(statement)
    db.execute(f"PRAGMA user_version = {VERSION}")


def _version(db: sqlite3.Connection) -> int:
    (version,) = db.execute("PRAGMA user_version").fetchone()
    return int(version)


@contextmanager
def _opened(archive: Archive) -> Iterator[sqlite3.Connection]:
    try:
        with closing(
            sqlite3.connect(archive.path, timeout=BUSY_S, isolation_level=None)
        ) as db:
            db.execute("PRAGMA synchronous = FULL")
            yield db
    except sqlite3.Error as error:
        figures = {"file": archive.path.name, "found": str(error)}
        raise NotDoneError(Said("weather.archive_failed", figures)) from error


@contextmanager
def _alone(db: sqlite3.Connection) -> Iterator[None]:
    """Keep other writers out; all is written, or nothing."""
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        db.execute("ROLLBACK")
        raise
    db.execute("COMMIT")


def add_batch(archive: Archive, batch: Batch) -> Kept | None:
    """Store what a source told, or nothing if it told it all before.

    Of observed weather only new and changed rows are stored; what they change
    stays where it is. Weather that cannot be is refused.
    """
    if faults := impossible(batch):
        raise ArbusculaError(*faults)
    batch = replace(batch, rows=as_stored(batch.rows))
    with _opened(archive) as db, _alone(db):
        news = _news(db, batch)
        if news is None:
            return None
        blob = packed(news)
        kept = _kept_after(db, replace(batch, rows=news), blob)
        marks = ", ".join("?" * (len(KEPT) + 1))
        names = ", ".join(KEPT)
        values = [getattr(kept, name) for name in KEPT]
        db.execute(
            f"INSERT INTO batch ({names}, rows) VALUES ({marks})",  # noqa: S608 - our own names
            [*values, blob],
        )
    return kept


def _kept_after(db: sqlite3.Connection, batch: Batch, blob: bytes) -> Kept:
    last = db.execute(f"{ALL} ORDER BY position_n DESC LIMIT 1").fetchone()
    kept = Kept(
        position_n=last[0] + 1 if last else 1,
        digest="",
        yard=batch.yard,
        source=batch.source,
        sort=batch.sort,
        issued_s=float(batch.issued_s),
        read_s=float(batch.read_s),
        from_s=float(batch.rows.from_s[0]),
        until_s=float(batch.rows.until_s[-1]),
        rows_n=batch.rows.from_s.size,
        members_n=members_n(batch.rows),
        attribution=batch.attribution,
    )
    return replace(kept, digest=_digest(last[1] if last else "", kept, blob))


def _digest(before: str, kept: Kept, blob: bytes) -> str:
    """Return the digest of a batch and all before it."""
    told = [getattr(kept, name) for name in CHAINED]
    text = json.dumps([before, *told, sha256(blob).hexdigest()])
    return sha256(text.encode()).hexdigest()


def _news(db: sqlite3.Connection, batch: Batch) -> WeatherRows | None:
    """Return the rows that this source has not told before; None if there are none."""
    own = "WHERE yard = ? AND source = ? AND sort = ?"
    whose = (batch.yard, batch.source, batch.sort)
    if batch.sort is WeatherSort.FORECAST:
        last = f"{FULL} {own} ORDER BY position_n DESC LIMIT 1"
        same = (
            packed(rows) == packed(batch.rows) for _, rows in _read(db, last, whose)
        )
        return None if any(same) else batch.rows
    near = f"{FULL} {own} AND from_s < ? AND until_s > ? ORDER BY position_n"
    span = (float(batch.rows.until_s[-1]), float(batch.rows.from_s[0]))
    told: dict[bytes, bytes] = {}
    for _, rows in _read(db, near, (*whose, *span)):
        told |= _by_time(rows)
    new = [told.get(at) != cells for at, cells in _by_time(batch.rows).items()]
    return _chosen(batch.rows, np.flatnonzero(new)) if any(new) else None


def _by_time(rows: WeatherRows) -> dict[bytes, bytes]:
    """Return the rows by their time, all as bytes: a gap is equal to a gap."""
    times, cells = (
        np.stack([quantity(rows, name) for name in names], axis=-1)
        for names in (TIMES, QUANTITIES)
    )
    pairs = zip(times, cells, strict=True)
    return {at.tobytes(): told.tobytes() for at, told in pairs}


def _chosen(rows: WeatherRows, places: np.ndarray) -> WeatherRows:
    return rows_from(
        quantity(rows, name)[..., places] for name in (*TIMES, *QUANTITIES)
    )


def batches(
    archive: Archive,
    yard: str,
    *,
    as_of_s: float = np.inf,
    upto_n: int | None = None,
) -> tuple[Kept, ...]:
    """Return what was told for a yard by a time, without the rows, oldest first."""
    with _opened(archive) as db:
        query = f"{ALL} {KNOWN} ORDER BY position_n"
        found = db.execute(query, _known(yard, as_of_s, upto_n)).fetchall()
    return tuple(map(_kept, found))


def _known(yard: str, as_of_s: float, upto_n: int | None) -> tuple[str | float, ...]:
    return yard, as_of_s, as_of_s, MOST if upto_n is None else upto_n


def observed_between(
    archive: Archive,
    yard: str,
    from_s: float,
    until_s: float,
    *,
    as_of_s: float,
    upto_n: int | None = None,
) -> tuple[tuple[Kept, WeatherRows], ...]:
    """Return what was observed in a span of time and told by another, oldest first."""
    query = (
        f"{FULL} {KNOWN} AND sort = ? AND from_s < ? AND until_s > ? "
        "ORDER BY position_n"
    )
    known = _known(yard, as_of_s, upto_n)
    with _opened(archive) as db:
        asked = (*known, WeatherSort.OBSERVED, until_s, from_s)
        return tuple(_read(db, query, asked))


def rows_of(archive: Archive, position_n: int) -> WeatherRows:
    """Return the rows of one batch."""
    with _opened(archive) as db:
        found = [*_read(db, f"{FULL} WHERE position_n = ?", (position_n,))]
    if not found:
        raise _missing(position_n, position_n)
    return found[0][1]


def position(archive: Archive) -> int:
    """Return how many batches the archive holds; it never falls."""
    with _opened(archive) as db:
        (count,) = db.execute(
            "SELECT coalesce(max(position_n), 0) FROM batch"
        ).fetchone()
    return int(count)


def _read(
    db: sqlite3.Connection, query: str, asked: tuple[str | float, ...]
) -> Iterator[tuple[Kept, WeatherRows]]:
    for *told, blob in db.execute(query, asked):
        kept = _kept(told)
        try:
            rows = unpacked(blob, rows_n=kept.rows_n, members_n=kept.members_n)
        except ValueError:
            raise _changed(kept.position_n) from None
        yield kept, rows


def _kept(told: tuple[object, ...] | list[object]) -> Kept:
    parts: Mapping[str, object] = dict(zip(KEPT, told, strict=True))
    try:
        sort = WeatherSort(str(parts["sort"]))
    except ValueError:
        raise _changed(parts["position_n"]) from None
    return Kept(**{**parts, "sort": sort})  # type: ignore[arg-type]


def _changed(position_n: object) -> NotDoneError:
    return NotDoneError(Said("weather.batch_changed", {"position_n": f"{position_n}"}))


def note_asked(archive: Archive, asked: Asked) -> None:
    """Write down that a source was asked, and how it went."""
    v = asked.validity
    told = (asked.yard, asked.source, asked.at_s, asked.outcome, asked.because)
    held = (v.address, v.last_modified, v.expires_s)
    with _opened(archive) as db, _alone(db):
        db.execute(
            "INSERT INTO asked SELECT coalesce(max(position_n), 0) + 1, "
            "?, ?, ?, ?, ?, ?, ?, ? FROM asked",
            (*told, *held),
        )


def askings(archive: Archive, yard: str) -> tuple[Asked, ...]:
    """Return every asking for a yard, oldest first."""
    with _opened(archive) as db:
        query = f"{ASKED} ORDER BY position_n"
        return tuple(_asked(told) for told in db.execute(query, (yard,)))


def last_asked(archive: Archive, yard: str, source: str) -> Asked | None:
    """Return the last asking of one source for a yard."""
    with _opened(archive) as db:
        query = f"{ASKED} AND source = ? ORDER BY position_n DESC LIMIT 1"
        told = db.execute(query, (yard, source)).fetchone()
    return _asked(told) if told else None


def _asked(told: tuple[str, str, float, str, str, str, str, float]) -> Asked:
    yard, source, at_s, outcome, because, address, last_modified, expires_s = told
    held = Validity(address=address, last_modified=last_modified, expires_s=expires_s)
    return Asked(
        yard=yard,
        source=source,
        at_s=at_s,
        outcome=outcome,
        because=because,
        validity=held,
    )


def _missing(from_n: int, to_n: int) -> NotDoneError:
    figures = {"from": f"{from_n}", "to": f"{to_n}"}
    return NotDoneError(Said("weather.batches_missing", figures))


def verify_archive(archive: Archive) -> tuple[Said, ...]:
    """Return every fault found: guards, the database, the chain of the batches."""
    try:
        with _opened(archive) as db:
            return (*_guards(db), *_database(db), *_chain(db))
    except NotDoneError as error:
        return error.faults


def _guards(db: sqlite3.Connection) -> Generator[Said]:
    query = "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'"
    found = dict(db.execute(query))
    for name, sql in GUARDS.items():
        if found.get(name) != sql:
            yield Said("weather.guard_missing", {"guard": name})


def _database(db: sqlite3.Connection) -> Generator[Said]:
    for (found,) in db.execute("PRAGMA integrity_check"):
        if found != "ok":
            yield Said("weather.archive_damaged", {"found": found})


def _chain(db: sqlite3.Connection) -> Generator[Said]:
    """Tell each batch that is lost or is not what was written."""
    before, last_n = "", 0
    for *told, blob in db.execute(f"{FULL} ORDER BY position_n"):
        kept = _kept(told)
        if kept.position_n != last_n + 1:
            yield from _missing(last_n + 1, kept.position_n - 1).faults
        elif kept.digest != _digest(before, kept, blob):
            yield from _changed(kept.position_n).faults
        before, last_n = kept.digest, kept.position_n
