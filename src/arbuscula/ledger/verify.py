"""Verify: is the store still what was written? All that is not, with its reason."""

from collections.abc import Generator
from contextlib import closing
from functools import partial
from itertools import islice
from typing import Final

from sqlalchemy import Connection, select, text

from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.ledger.book import Ledger
from arbuscula.ledger.chain import COLUMNS, Head, head_after
from arbuscula.ledger.lines import Row, event_from_row
from arbuscula.ledger.store.engine import reading
from arbuscula.ledger.store.tables import (
    EVENT,
    POSTGRESQL_BODY,
    POSTGRESQL_TRIGGER,
    SQLITE_TRIGGERS,
)

MOST_N: Final = 100  # faults of the rows that are told; more say no more
AT_ONCE_N: Final = 1000


def verify_store(ledger: Ledger, noted: Head | None = None) -> tuple[Said, ...]:
    """Return every fault found: guards, database, rows, their chain.

    What is missing at the very end shows only against a head that was noted
    elsewhere, as a backup or a snapshot does.
    """
    checks = (_guards, _database, _rows, partial(_noted, noted=noted or Head()))
    told: list[Said] = []
    for check in checks:
        try:
            with (
                reading(ledger.engine) as connection,
                closing(check(connection)) as found,
            ):
                told += islice(found, MOST_N)
        except NotDoneError as error:
            told += error.faults
    return tuple(told)


def _guards(connection: Connection) -> Generator[Said]:
    """Tell each trigger that is not there, or is not what we wrote."""
    if connection.dialect.name == "sqlite":
        query = text("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
        wanted = SQLITE_TRIGGERS
    else:
        query, wanted = text(POSTGRESQL_TRIGGERS), {POSTGRESQL_TRIGGER: POSTGRESQL_SEEN}
    found = {row.name: row.sql for row in connection.execute(query)}
    for name, sql in wanted.items():
        if name not in found:
            yield Said("verify.guard_missing", {"guard": name})
        elif found[name] != sql:
            yield Said("verify.guard_changed", {"guard": name, "found": found[name]})


# Enabled always; before, for each statement, on delete, update and truncate.
POSTGRESQL_SEEN: Final = f"A {2 + 8 + 16 + 32} {POSTGRESQL_BODY}"
POSTGRESQL_TRIGGERS: Final = """
SELECT tgname AS name, concat_ws(' ', tgenabled, tgtype, prosrc) AS sql
FROM pg_trigger JOIN pg_proc ON pg_proc.oid = tgfoid
WHERE tgrelid = 'event'::regclass AND NOT tgisinternal
"""


def _database(connection: Connection) -> Generator[Said]:
    """Ask the database itself, where it can be asked."""
    if connection.dialect.name == "sqlite":
        for found in connection.scalars(text("PRAGMA integrity_check")):
            if found != "ok":
                yield Said("verify.database", {"found": found})


def _rows(connection: Connection) -> Generator[Said]:
    """Tell each row that is lost, changed or no event any more."""
    streamed = connection.execution_options(yield_per=AT_ONCE_N)
    head = Head()
    with streamed.execute(select(EVENT).order_by(EVENT.c.seq)) as stored:
        for row in stored.mappings():
            told = {name: str(row[name]) for name in COLUMNS}
            there = Head(position_n=row["seq"], digest=row["digest"])
            yield from _chained(head, there, told)
            yield from _unread(told)
            head = there


def _chained(head: Head, there: Head, row: Row) -> Generator[Said]:
    after = head_after(head, row)
    if there.position_n != after.position_n:
        figures = {"from_n": after.position_n, "to_n": there.position_n - 1}
        yield Said("verify.rows_missing", figures)
    elif there.digest != after.digest:
        event = {"event": row["id"], "position_n": f"{there.position_n}"}
        yield Said("verify.row_changed", event)


def _unread(row: Row) -> tuple[Said, ...]:
    try:
        event_from_row(row, name=f"event {row['id']}")
    except ArbusculaError as error:
        return error.faults
    return ()


def _noted(connection: Connection, noted: Head) -> Generator[Said]:
    there = select(EVENT.c.digest).where(EVENT.c.seq == noted.position_n)
    digest = connection.scalar(there)
    if digest is None and noted.position_n:
        yield Said("verify.end_missing", {"noted_n": float(noted.position_n)})
    elif digest not in (None, noted.digest):
        yield Said("verify.another_past", {"noted_n": float(noted.position_n)})
