"""Sheet: the book as a table, a row an event, for a spreadsheet to read.

A fact has a column of its own, named as the line of JSON would name it. A list
or a table in a cell is JSON. What is unsaid and what is empty look the same.
"""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Final

from sqlalchemy import select

from arbuscula.kinds.events import Event
from arbuscula.ledger.book import SAID, Ledger
from arbuscula.ledger.chain import COLUMNS, Head
from arbuscula.ledger.exchange import AT_ONCE_N
from arbuscula.ledger.lines import as_json, json_text, row_from_event, stored_event
from arbuscula.ledger.store.engine import reading
from arbuscula.ledger.store.tables import EVENT

POSITION: Final = "position_n"
HEADS: Final = (POSITION, *(name for name in COLUMNS if name != "facts"))
OBEYED: Final = ("=", "+", "-", "@", "\t", "\r", "'")  # a spreadsheet would compute it

Cells = dict[str, str]


def sheet_heads(ledger: Ledger, end: Head) -> tuple[str, ...]:
    """Return the columns that this book needs, those of facts in alphabetical order."""
    facts: set[str] = set()
    for cells in sheet_rows(ledger, end):
        facts |= cells.keys()
    return (*HEADS, *sorted(facts.difference(HEADS)))


def sheet_rows(ledger: Ledger, end: Head) -> Iterator[Cells]:
    """Yield every event up to this end as cells by their column."""
    upto = select(EVENT.c.seq, *SAID).where(EVENT.c.seq <= end.position_n)
    with reading(ledger.engine) as connection:
        streamed = connection.execution_options(yield_per=AT_ONCE_N)
        with streamed.execute(upto.order_by(EVENT.c.seq)) as stored:
            for row in stored.mappings():
                event = stored_event({name: row[name] for name in COLUMNS})
                yield {POSITION: f"{row['seq']}", **cells_from_event(event)}


def cells_from_event(event: Event) -> Cells:
    """Return an event as cells by their column."""
    heads = {k: _text(t) for k, t in row_from_event(event).items() if k in HEADS}
    return heads | dict(_cells("facts", event.facts))


def _cells(name: str, part: object) -> Iterator[tuple[str, str]]:
    """Yield a part of an event under its column, a noun under one for each field."""
    if is_dataclass(part):
        for field in fields(part):
            yield from _cells(f"{name}.{field.name}", getattr(part, field.name))
        return
    plain = as_json(part)
    if isinstance(plain, str):
        yield name, _text(plain)
    elif plain is not None:
        yield name, json_text(plain)


def _text(words: str) -> str:
    """Return words that no spreadsheet takes for a formula."""
    return f"'{words}" if words.startswith(OBEYED) else words
