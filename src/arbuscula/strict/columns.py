"""Columns: a CSV text becomes arrays, or every fault of it is named.

A fault tells the file, the row and the column it was first seen in, and how
many rows share it. Rows are counted as a spreadsheet shows them: the head is
row 1.
"""

import csv
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from io import StringIO
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.weather import Row
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain, plain_number

TIME: Final = "time"
ROW: Final = "row"  # where each row of the table stood in the file
YEARS: Final = range(1900, 2200)  # of which a time may be
SHOWN_N: Final = 12  # heads of a table in one sentence

Table = dict[str, Row]
Places = NDArray[np.intp]


def number_of(cell: str) -> float:
    """Return the number in a cell; what is none raises ValueError."""
    if "_" in cell:  # Python would read 1_5 as fifteen
        raise ValueError(cell)
    return float(cell)


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a table: its head, which bears the unit, and its range.

    A file that is not ours may have a head and a unit of its own; what comes
    out, and the range, are in the unit of the name.
    """

    name: str
    low: float
    high: float
    empty: float | None = None  # what an empty cell means; None: a gap (NaN)
    outside: str = "table.outside"  # the message on a value out of range
    head: str = ""  # in the file; empty: the name
    read: Callable[[str], float] = number_of
    blanks: Collection[str] = ("",)  # cells that tell nothing
    told_as: str = ""  # what to say behind the range


def _unix_s_of(cells: Sequence[str]) -> Row:
    return _parsed(cells, _unix_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """How a table tells the time."""

    heads: tuple[str, ...] = (TIME,)  # their cells are read with a blank between
    read: Callable[[Sequence[str]], Row] = _unix_s_of  # NaN: this is no time
    fault: str = "table.time"  # the message on what is none


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A CSV text as cells: the heads, and below them the rows that hold any."""

    name: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    places_n: tuple[int, ...]  # of the rows, in the file


def table_from_csv(
    text: str,
    *,
    name: str,
    columns: Sequence[Column],
    one_of: Sequence[Column] = (),
    clock: Clock | None = None,
    delimiter: str = ",",
) -> Table:
    """Read a table with a `time` column and these; report all faults at once.

    `one_of` lists columns of which exactly one must stand in the table. Gaps
    come out as NaN. Columns of other names are passed over. The column `row`
    of what comes out tells where each row stood.
    """
    sheet = sheet_from_csv(text, name=name, delimiter=delimiter)
    reading = _Reading(sheet, clock or Clock())
    whole = reading.table(columns, one_of)
    if reading.faults:
        raise ArbusculaError(*reading.faults)
    return whole


def sheet_from_csv(text: str, *, name: str, delimiter: str = ",") -> Sheet:
    """Read heads and cells; a text that is no table is a fault."""
    lines_of = StringIO(text, newline="")
    reader = csv.reader(lines_of, delimiter=delimiter, strict=True)
    try:
        lines = [tuple(map(str.strip, cells)) for cells in reader]
    except csv.Error as error:
        line = f"{reader.line_num}"
        figures: dict[str, Figure] = {"file": name, "line": line, "found": str(error)}
        raise ArbusculaError(Said("table.not_csv", figures)) from None
    places_n = [n for n, cells in enumerate(lines, 1) if any(cells)]
    if not places_n[1:]:
        raise ArbusculaError(Said("table.empty", {"file": name}))
    heads, *rows = (lines[n - 1] for n in places_n)
    if len(heads) == 1 and ";" in heads[0]:
        raise ArbusculaError(Said("table.semicolons", {"file": name}))
    if len(heads) == 1 and "\t" in heads[0]:
        raise ArbusculaError(Said("table.tabs", {"file": name}))
    return Sheet(name=name, heads=heads, rows=tuple(rows), places_n=tuple(places_n[1:]))


class _Reading:
    """One table being read, and the faults met so far."""

    def __init__(self, sheet: Sheet, clock: Clock) -> None:
        self.sheet, self.clock = sheet, clock
        self.faults: list[Said] = []

    def fault(self, message_id: str, **figures: Figure) -> None:
        self.faults.append(Said(message_id, {"file": self.sheet.name, **figures}))

    def fault_at(
        self, message_id: str, places: Places, *heads: str, **figures: Figure
    ) -> None:
        """Tell the first of these rows, and how many there are."""
        if not places.size:
            return
        self.fault(
            message_id,
            row=f"{self.sheet.places_n[places[0]]}",
            column=" + ".join(heads),
            found=plain(self.cells(*heads)[places[0]]),
            rows=f"{places.size}",
            **figures,
        )

    def table(self, columns: Sequence[Column], one_of: Sequence[Column]) -> Table:
        self.no_row_is_longer()
        table = {ROW: np.array(self.sheet.places_n, dtype=np.float64)}
        stand = [self.stands(head) for head in self.clock.heads]
        if all(stand):
            table[TIME] = self.times()
        present = [c for c in columns if self.stands(c.head or c.name)]
        present += [c for c in self.one_of(one_of) if self.stands(c.name)]
        return table | {column.name: self.numbers(column) for column in present}

    def no_row_is_longer(self) -> None:
        """Refuse cells under no head: a decimal comma has parted a number."""
        heads_n = len(self.sheet.heads)
        longer = np.array([any(cells[heads_n:]) for cells in self.sheet.rows])
        places = np.flatnonzero(longer)
        self.fault_at("table.long_row", places, self.sheet.heads[0], heads=f"{heads_n}")

    def stands(self, head: str) -> bool:
        """Return whether the table has a column; tell if not, or if twice."""
        heads = self.sheet.heads
        if heads.count(head) > 1:
            self.fault("table.doubled", column=head)
        if head in heads:
            return True
        names = [plain(h) for h in near_names(head, heads) or heads[:SHOWN_N]]
        self.fault("table.missing", column=head, found=", ".join(names))
        return False

    def one_of(self, one_of: Sequence[Column]) -> list[Column]:
        either = [column for column in one_of if column.name in self.sheet.heads]
        if one_of and len(either) != 1:
            found = ", ".join(column.name for column in either) or "none of them"
            names = ", ".join(column.name for column in one_of)
            self.fault("table.one_of", columns=names, found=found)
        return either

    def cells(self, *heads: str) -> list[str]:
        """Return the cells under some heads; a short row ends in empty ones."""
        places = [self.sheet.heads.index(head) for head in heads]
        return [
            " ".join(cells[n] if n < len(cells) else "" for n in places)
            for cells in self.sheet.rows
        ]

    def times(self) -> Row:
        heads = self.clock.heads
        times_s = self.clock.read(self.cells(*heads))
        known = np.flatnonzero(np.isfinite(times_s))
        again = np.ones(known.size, dtype=np.bool_)
        again[np.unique(times_s[known], return_index=True)[1]] = False
        back = np.diff(times_s[known], prepend=-np.inf) < 0
        self.fault_at(self.clock.fault, np.flatnonzero(np.isnan(times_s)), *heads)
        self.fault_at("table.same_time", known[again], *heads)
        self.fault_at("table.unsorted", known[back & ~again], *heads)
        return times_s

    def numbers(self, column: Column) -> Row:
        head = column.head or column.name
        cells = self.cells(head)
        empty = np.array([cell in column.blanks for cell in cells])
        numbers = _parsed(cells, column.read)
        garbled = ~empty & ~np.isfinite(numbers)
        self.fault_at("table.not_a_number", np.flatnonzero(garbled), head)
        outside = ~garbled & ((numbers < column.low) | (numbers > column.high))
        span = f"{plain_number(column.low)} to {plain_number(column.high)}"
        allowed = f"{span} {column.told_as}".strip()
        self.fault_at(column.outside, np.flatnonzero(outside), head, allowed=allowed)
        return np.where(
            empty, np.nan if column.empty is None else column.empty, numbers
        )


def _parsed(cells: Sequence[str], read: Callable[[str], float]) -> Row:
    def number(cell: str) -> float:
        try:
            return read(cell)
        except ValueError:
            return np.nan

    return np.array([number(cell) for cell in cells], dtype=np.float64)


def _unix_s(cell: str) -> float:
    at = datetime.fromisoformat(cell)
    if at.tzinfo is None or at.year not in YEARS:
        raise ValueError(cell)
    return at.timestamp()
