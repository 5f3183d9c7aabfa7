"""Book: write events, read them in the order they came or happened."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Connection, Engine, Select, insert, select

from arbuscula.kinds.events import KIND_OF, Event
from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.ledger.chain import COLUMNS, Head, head_after
from arbuscula.ledger.lines import Row, event_from_row, row_from_event, stored_event
from arbuscula.ledger.store.engine import reading, writing
from arbuscula.ledger.store.tables import EVENT

SOME: Final = 500  # rows asked for or written at once
SAID: Final = tuple(EVENT.c[name] for name in COLUMNS)
IN_ORDER: Final = (EVENT.c.happened, EVENT.c.written, EVENT.c.id)


@dataclass(frozen=True, slots=True)
class Ledger:
    """An open ledger."""

    engine: Engine


def append(ledger: Ledger, *events: Event) -> int:
    """Write all these events or none, and return the position after them.

    An event that is there already is not written again. Another one under the
    same id is refused, and so is all that came with it.
    """
    rows = _readable_rows(events)
    with writing(ledger.engine) as connection:
        return add_rows(connection, rows).position_n


def add_rows(connection: Connection, rows: Sequence[Row]) -> Head:
    """Chain each row that is not stored yet to the last; return where that is."""
    head = head_in(connection)
    new = _new_rows(rows, _stored(connection, rows))
    for start in range(0, len(new), SOME):
        chained = []
        for row in new[start : start + SOME]:
            head = head_after(head, row)
            chained.append({**row, "seq": head.position_n, "digest": head.digest})
        connection.execute(insert(EVENT), chained)
    return head


def all_events(ledger: Ledger) -> tuple[Event, ...]:
    """Return every event, in the order they happened."""
    return _read(ledger, select(*SAID).order_by(*IN_ORDER))


def events_after(ledger: Ledger, position_n: int) -> tuple[Event, ...]:
    """Return what came after this position, in the order it came.

    Positions have no gaps, so the last of them stands at `position_n` and as
    many more as there are events.
    """
    late = select(*SAID).where(EVENT.c.seq > position_n)
    return _read(ledger, late.order_by(EVENT.c.seq))


def position(ledger: Ledger) -> int:
    """Return how many events the ledger holds; it never falls."""
    return head(ledger).position_n


def digest_at(ledger: Ledger, position_n: int) -> str | None:
    """Return the chain's digest at a position; None past the end."""
    if not position_n:
        return Head().digest
    at = select(EVENT.c.digest).where(EVENT.c.seq == position_n)
    with reading(ledger.engine) as connection:
        return connection.scalar(at)


def head(ledger: Ledger) -> Head:
    """Return how far the ledger has grown, and the digest of it all."""
    with reading(ledger.engine) as connection:
        return head_in(connection)


def head_in(connection: Connection) -> Head:
    """Return how far the ledger has grown, as this connection sees it."""
    last = select(EVENT.c.seq, EVENT.c.digest).order_by(EVENT.c.seq.desc()).limit(1)
    row = connection.execute(last).one_or_none()
    return Head(position_n=row.seq, digest=row.digest) if row else Head()


def _readable_rows(events: Iterable[Event]) -> list[Row]:
    """Return events as rows; what could not be read back is refused here."""
    rows: list[Row] = []
    faults: list[Said] = []
    for event in events:
        try:
            rows.append(_readable_row(event))
        except ArbusculaError as error:
            faults += error.faults
    if faults:
        raise ArbusculaError(*faults)
    return rows


def _readable_row(event: Event) -> Row:
    name, kind = f"event {event.id}", KIND_OF[type(event.facts)]
    if kind != event.kind:
        figures = {"file": name, "key": "kind", "found": event.kind, "allowed": kind}
        raise ArbusculaError(Said("file.fault", figures))
    return row_from_event(event_from_row(row_from_event(event), name=name))


def _new_rows(rows: Iterable[Row], stored: Iterable[Row]) -> list[Row]:
    """Return each row that is not stored yet, once."""
    known = {row["id"]: row for row in stored}
    new, conflicts = [], []
    for row in rows:
        old = known.setdefault(row["id"], row)
        if old is row:
            new.append(row)
        elif old != row:
            conflicts.append(Said("ledger.conflict", {"event": row["id"]}))
    if conflicts:
        raise NotDoneError(*conflicts)
    return new


def _stored(connection: Connection, rows: Sequence[Row]) -> list[Row]:
    found: list[Row] = []
    for start in range(0, len(rows), SOME):
        ids = [row["id"] for row in rows[start : start + SOME]]
        some = connection.execute(select(*SAID).where(EVENT.c.id.in_(ids)))
        found += [{**row} for row in some.mappings()]
    return found


def _read(ledger: Ledger, chosen: Select[tuple[str, ...]]) -> tuple[Event, ...]:
    with reading(ledger.engine) as connection:
        rows = connection.execute(chosen).all()
    told = (dict(zip(COLUMNS, map(str, row), strict=True)) for row in rows)
    return tuple(stored_event(row) for row in told)
