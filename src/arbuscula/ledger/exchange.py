"""Exchange: the whole book as lines, out of one store and into another.

The first line tells how far the book has grown and the digest of it all. Then
comes every event in the order of its position, so that whoever reads them all
arrives at the same digest, or knows that something is not what it was.
"""

from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from functools import reduce
from typing import Annotated, Final, Literal

from sqlalchemy import select

from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.kinds.values import Within
from arbuscula.ledger.book import Ledger, add_rows, digest_at, head, head_in
from arbuscula.ledger.chain import COLUMNS, Head, head_after
from arbuscula.ledger.lines import (
    Row,
    json_text,
    line_from_row,
    row_from_line,
    table_from_line,
)
from arbuscula.ledger.store.engine import reading, writing
from arbuscula.ledger.store.tables import EVENT
from arbuscula.strict.kinds import kind_from_table

AT_ONCE_N: Final = 1000
MOST_N: Final = 100  # faults that are told; of the others only how many


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """The first line of a book in lines."""

    schema: Literal["arbuscula.book/1"] = "arbuscula.book/1"
    position_n: Annotated[int, Within(0, 2**53)]
    digest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What came of taking in a book's lines."""

    told_n: int
    new_n: int
    head: Head  # of the book they were taken into
    same: bool  # this book and that one are now the same


def book_lines(ledger: Ledger, end: Head) -> Iterator[str]:
    """Yield the heading and every event up to this end, checked against the chain."""
    yield json_text(asdict(Heading(position_n=end.position_n, digest=end.digest)))
    upto = select(EVENT).where(EVENT.c.seq <= end.position_n).order_by(EVENT.c.seq)
    so_far = Head()
    with reading(ledger.engine) as connection:
        streamed = connection.execution_options(yield_per=AT_ONCE_N)
        with streamed.execute(upto) as stored:
            for found in stored.mappings():
                row = {name: str(found[name]) for name in COLUMNS}
                so_far = head_after(so_far, row)
                if found["digest"] != so_far.digest:
                    figures = {"event": row["id"], "position_n": f"{found['seq']}"}
                    raise NotDoneError(Said("verify.row_changed", figures))
                yield line_from_row(row)
    if so_far != end:
        noted_n = float(end.position_n)
        raise NotDoneError(Said("verify.end_missing", {"noted_n": noted_n}))


def take_lines(ledger: Ledger, lines: Iterable[str], *, name: str) -> Taken:
    """Write every event of these lines that is not there yet, or none of them.

    They must be of this book: into an empty one comes everything, into another
    one only what began with the same event.
    """
    end, rows = _read(lines, name)
    _refuse_another_book(ledger, rows, name)
    with writing(ledger.engine) as connection:
        before = head_in(connection)
        after = add_rows(connection, rows)
    return Taken(
        told_n=len(rows),
        new_n=after.position_n - before.position_n,
        head=after,
        same=after == end,
    )


def _read(lines: Iterable[str], name: str) -> tuple[Head, list[Row]]:
    """Return what the heading promises and the rows that keep it, or all faults."""
    told = iter(lines)
    heading = _heading(next(told, ""), f"{name}, line 1")
    rows: list[Row] = []
    faults: list[Said] = []
    for n, line in enumerate(told, 2):
        try:
            rows.append(row_from_line(line, name=f"{name}, line {n}"))
        except ArbusculaError as error:
            faults += error.faults
    end = Head(position_n=heading.position_n, digest=heading.digest)
    faults = [*_told(faults, name), *(() if faults else _broken(rows, end, name))]
    if faults:
        raise ArbusculaError(*faults)
    return end, rows


def _heading(line: str, name: str) -> Heading:
    return kind_from_table(table_from_line(line, name=name), Heading, name=name)


def _told(faults: list[Said], name: str) -> list[Said]:
    more_n = len(faults) - MOST_N
    if more_n <= 0:
        return faults
    figures = {"file": name, "more": f"{more_n}"}
    return [*faults[:MOST_N], Said("import.more_faults", figures)]


def _broken(rows: list[Row], end: Head, name: str) -> Iterator[Said]:
    """Tell whether these rows are not those that the heading was made for."""
    found = reduce(head_after, rows, Head())
    if found.position_n != end.position_n:
        counts = {"found": f"{found.position_n}", "noted": f"{end.position_n}"}
        yield Said("import.lines_missing", {"file": name, **counts})
    elif found != end:
        yield Said("import.lines_changed", {"file": name})


def _refuse_another_book(ledger: Ledger, rows: list[Row], name: str) -> None:
    began = digest_at(ledger, 1)
    if began is None or not rows:
        return
    if head_after(Head(), rows[0]).digest != began:
        figures = {"file": name, "found": f"{head(ledger).position_n}"}
        raise NotDoneError(Said("import.another_book", figures))
