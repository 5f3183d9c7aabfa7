"""Import: a table of trees, one to a row; all of it is written, or nothing.

It may be looked at first: what would be written, or all that is wrong. Every fault
is told with its row and its column; one that many rows share is told once. Rows are
counted as a spreadsheet shows them: the head is row 1.
"""

import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import datetime
from functools import partial
from hashlib import sha256
from typing import Final, Literal, TypeAlias

from arbuscula.desk import Desk
from arbuscula.desk.facts import Reader, facts_from_words
from arbuscula.desk.names import (
    Known,
    Meant,
    folded,
    known_from,
    name_faults,
    new_names,
    next_labels,
    tidy,
    yard_meant,
)
from arbuscula.desk.writing import (
    Drafted,
    event_of,
    first_events_of,
    happened_at,
    written,
)
from arbuscula.kinds.events import Event, Noted, Sort
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.said import ArbusculaError, Figure, NotDoneError, Said
from arbuscula.kinds.tree import Tree
from arbuscula.ledger.book import all_events
from arbuscula.strict.columns import Sheet, sheet_from_csv
from arbuscula.strict.faults import gathered
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain

NOTE: Final = "note"
COLUMNS: Final = (*(f.name for f in fields(Tree)), NOTE)
NEEDED: Final = ("bench", "species")
ALSO: Final = {"place": "place_n"}
SHOWN_N: Final = 3  # rows in one sentence
COMMA, TAB = ",", "\t"  # a table copied out of a spreadsheet has tabs
SEMICOLON: Final = ";"  # where the comma is the decimal sign
DECIMAL: Final = re.compile(r"(?<=\d),(?=\d)")
NAMING: Final = ("bench", "label", NOTE)  # their commas stay
UNSURE: Final = frozenset({"table.doubled", "import.missing_column", "table.long_row"})
LABEL_FAULTS: Final = {
    "name.not_read": "import.label_not_read",
    "name.taken": "import.label_taken",
}
BENCH_FAULTS: Final = {
    "name.not_read": "import.bench_not_read",
    "name.taken": "import.bench_taken",
}
Row: TypeAlias = tuple[int, dict[str, str]]  # its number, and each column's text


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportWish:
    """A table of trees, and how to take it in."""

    name: str  # of the file
    text: str
    yard: str | None = None
    make_benches: bool = False  # those that the book does not know yet
    since: str | None = None
    digest: str | None = None  # of what was looked at: nothing else is written


@dataclass(frozen=True, slots=True, kw_only=True)
class TableAsked:
    """The answer: what a table of trees may hold, and where they may stand."""

    schema: Literal["arbuscula.import_asked/1"] = "arbuscula.import_asked/1"
    needed: tuple[str, ...] = NEEDED
    columns: tuple[str, ...]
    yards: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """The answer: all that was written."""

    schema: Literal["arbuscula.import/1"] = "arbuscula.import/1"
    labels: tuple[str, ...]  # of the trees, row by row
    benches: tuple[str, ...]  # made for them, under the open sky
    ids: tuple[str, ...]  # of the events
    notes: tuple[Said, ...] = ()  # on how it was read


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One row that is sound, and the tree it tells of."""

    row_n: int
    tree: Tree
    bench: str
    note: str | None

    @property
    def bare(self) -> Tree:
        """Return the tree without what tells where it stands and what it is called."""
        return replace(self.tree, label=None, bench=None, place_n=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class TableFault:
    """What is wrong with some cells; without rows, with the whole table."""

    rows_n: tuple[int, ...] = ()
    column: str = ""
    said: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class TableSeen:
    """The answer: what a table would write, or all that is wrong."""

    schema: Literal["arbuscula.import_look/1"] = "arbuscula.import_look/1"
    file: str
    rows_n: int
    trees: tuple[Line, ...]  # none if anything is wrong
    benches: tuple[str, ...]  # that would be made for them
    faults: tuple[TableFault, ...]
    digest: str
    notes: tuple[Said, ...] = ()  # on how it was read


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What a table would write into a book as it is, or why not."""

    rows_n: int = 0
    lines: Sequence[Line] = ()
    benches: Sequence[str] = ()
    events: Sequence[Event] = ()
    faults: Sequence[TableFault] = ()
    since: str | None = None

    @property
    def digest(self) -> str:
        """Return what is another one if anything else would be written."""
        told = repr(([*self.lines], [*self.benches], self.since))
        return sha256(told.encode()).hexdigest()


def ask_table(desk: Desk) -> TableAsked:
    """Return what a table of trees may hold."""
    short = {whole: short for short, whole in ALSO.items()}
    others = (short.get(name, name) for name in COLUMNS if name not in NEEDED)
    yards = known_from(all_events(desk.ledger())).yards.values()
    return TableAsked(columns=tuple(others), yards=tuple(yard.name for yard in yards))


def import_trees(desk: Desk, wish: ImportWish) -> Imported:
    """Set up every tree of a table, or say all that is wrong with it."""
    return written(desk, partial(_imported, desk, wish))


def look_at_table(desk: Desk, wish: ImportWish) -> TableSeen:
    """Return what a table would write, and all that is wrong; write nothing."""
    draft = _draft(desk, wish, known_from(all_events(desk.ledger())))
    return TableSeen(
        file=wish.name,
        rows_n=draft.rows_n,
        trees=tuple(draft.lines),
        benches=tuple(draft.benches),
        faults=tuple(draft.faults),
        digest=draft.digest,
        notes=tuple(_notes(wish)),
    )


def _notes(wish: ImportWish) -> Iterator[Said]:
    """Yield how a table was read, where it could be read in another way."""
    if _parted_by(wish.text) == SEMICOLON:
        yield Said("import.semicolons", {"file": wish.name})


def _imported(desk: Desk, wish: ImportWish, book: Known) -> Drafted[Imported]:
    draft = _draft(desk, wish, book)
    if draft.faults:
        raise ArbusculaError(*(fault.said for fault in draft.faults))
    if wish.digest not in (None, draft.digest):
        raise NotDoneError(Said("import.changed", {"file": wish.name}))
    answer = Imported(
        labels=tuple(line.tree.label or "" for line in draft.lines),
        benches=tuple(draft.benches),
        ids=tuple(event.id for event in draft.events),
        notes=tuple(_notes(wish)),
    )
    return answer, draft.events


def _draft(desk: Desk, wish: ImportWish, book: Known) -> Draft:
    yard = yard_meant(book, wish.yard)
    whole: list[Said] = []
    sheet = gathered(lambda: _sheet(wish), whole)
    at = gathered(lambda: happened_at(desk, book, yard, wish.since), whole)
    faults = [TableFault(said=said) for said in whole]
    faults += _heads_faults(sheet) if sheet else []
    if sheet is None or any(fault.said.message_id in UNSURE for fault in faults):
        return Draft(faults=faults, rows_n=len(sheet.rows) if sheet else 0)
    rows, happened = [*_rows(sheet)], at or desk.clock()
    benches = _new_benches(book, yard, rows) if wish.make_benches else {}
    faults += _bench_faults(book, sheet.name, benches, rows)
    events = first_events_of(desk, book, benches, happened=happened)
    known = known_from((*book.events, *events))
    reader = Reader(library=desk.library(), known=known)
    lines, others = _lines(reader, sheet.name, yard, rows)
    if faults or others:
        in_order = sorted([*faults, *others], key=lambda fault: fault.rows_n[:1])
        return Draft(faults=in_order, rows_n=len(rows))
    lines = _placed(known, _labelled(known, lines))
    events += _tree_events(desk, known, lines, happened)
    return Draft(
        rows_n=len(rows),
        lines=lines,
        benches=[bench.name for bench in benches.values()],
        events=events,
        since=wish.since,
    )


# The table


def _sheet(wish: ImportWish) -> Sheet:
    parted = _parted_by(wish.text)
    sheet = sheet_from_csv(wish.text, name=wish.name, delimiter=parted)
    return _with_points(sheet) if parted == SEMICOLON else sheet


def _parted_by(text: str) -> str:
    head = text.lstrip().partition("\n")[0]
    others = [sign for sign in (TAB, SEMICOLON) if sign in head]
    return others[0] if others and COMMA not in head else COMMA


def _with_points(sheet: Sheet) -> Sheet:
    """Return a table with points for decimal commas: `18,5` is 18.5."""
    named = {n for n, head in enumerate(sheet.heads) if _column(head) in NAMING}
    rows = [
        tuple(
            cell if n in named else DECIMAL.sub(".", cell)
            for n, cell in enumerate(cells)
        )
        for cells in sheet.rows
    ]
    return replace(sheet, rows=tuple(rows))


def _heads_faults(sheet: Sheet) -> Iterator[TableFault]:
    heads = [_column(head) for head in sheet.heads]
    for head in heads:
        if head and head not in COLUMNS:
            near = ", ".join(near_names(head, COLUMNS) or COLUMNS)
            figures = {"file": sheet.name, "column": plain(head), "near": near}
            yield _of_head(head, Said("import.unknown_column", figures))
    for head in sorted({head for head in heads if head and heads.count(head) > 1}):
        figures = {"file": sheet.name, "column": plain(head)}
        yield _of_head(head, Said("table.doubled", figures))
    for head in (head for head in NEEDED if head not in heads):
        found = ", ".join(map(plain, sheet.heads))
        figures = {"file": sheet.name, "column": head, "found": found}
        yield _of_head(head, Said("import.missing_column", figures))
    longer = [n for n, cells in _numbered(sheet) if any(cells[len(heads) :])]
    if longer:
        figures = {"row": f"{longer[0]}", "rows": f"{len(longer)}"}
        figures |= {"file": sheet.name, "heads": f"{len(heads)}"}
        said = Said("table.long_row", figures)
        yield TableFault(rows_n=tuple(longer), said=said)


def _of_head(head: str, said: Said) -> TableFault:
    return TableFault(column=plain(head), said=said)


def _column(head: str) -> str:
    return ALSO.get(head.casefold(), head.casefold())


def _numbered(sheet: Sheet) -> Iterable[tuple[int, tuple[str, ...]]]:
    return zip(sheet.places_n, sheet.rows, strict=True)


def _rows(sheet: Sheet) -> Iterator[Row]:
    """Yield each row by its number, and what stands in it by its column."""
    heads = [_column(head) for head in sheet.heads]
    for n, cells in _numbered(sheet):
        pairs = zip(heads, cells, strict=False)
        yield n, {h: tidy(cell) for h, cell in pairs if h in COLUMNS and tidy(cell)}


def _new_benches(known: Known, yard: str, rows: Sequence[Row]) -> dict[str, Bench]:
    """Return the benches that rows name and the book does not know."""
    names: dict[str, str] = {}
    for name in (said["bench"] for _, said in rows if "bench" in said):
        names.setdefault(folded(name), name)  # as it is first written
    new = [name for name in names.values() if not _is_bench(known, yard, name)]
    return {n: Bench(yard=yard, name=n, exposure=Exposure.OPEN) for n in new}


def _bench_faults(
    known: Known, file: str, new: Iterable[str], rows: Sequence[Row]
) -> Iterator[TableFault]:
    """Yield why a bench of the table cannot be made."""
    for name in new:
        rows_n = tuple(n for n, said in rows if _is_so_called(said, name))
        for fault in name_faults(known, name):
            place = f"{file}, {_rows_told(rows_n)}, bench"
            message_id = BENCH_FAULTS[fault.message_id]
            said = Said(message_id, {"file": place, **fault.figures})
            yield TableFault(rows_n=rows_n, column="bench", said=said)


def _is_so_called(said: Mapping[str, str], bench: str) -> bool:
    return folded(said.get("bench", "")) == folded(bench)


def _is_bench(known: Known, yard: str, name: str) -> bool:
    called = known.called.get(folded(_bench_words(known, yard, name)), ())
    return any(one.sort is Sort.BENCH for one in called)


def _bench_words(known: Known, yard: str, name: str) -> str:
    """Return a bench's name after that of this yard, if there is one."""
    whole = f"{yard}/{name}"
    return whole if folded(whole) in known.called else name


# Its rows


def _lines(
    reader: Reader, file: str, yard: str, rows: Sequence[Row]
) -> tuple[list[Line], list[TableFault]]:
    """Read every row, and tell all that is wrong with any of them."""
    faults = [*_label_faults(reader.known, rows)]
    lines = []
    for row_n, said in rows:
        own: list[Said] = []
        line = gathered(partial(_line, reader, yard, row_n, said), own)
        faults += [(row_n, fault) for fault in own]
        lines += [line] if line else []
    return lines, [*_told_once(file, faults)]


def _line(reader: Reader, yard: str, row_n: int, said: Mapping[str, str]) -> Line:
    words = {key: text for key, text in said.items() if key != NOTE}
    faults: list[Said] = []
    if "bench" in words:
        words["bench"] = _bench_words(reader.known, yard, words["bench"])
    else:
        figures = {"file": "", "key": "bench", "allowed": "the name of a bench"}
        faults.append(Said("file.missing_key", figures))
    tree = gathered(lambda: facts_from_words(Tree, words, reader, name=""), faults)
    if tree is None or tree.bench is None or faults:
        raise ArbusculaError(*faults)
    return Line(row_n=row_n, tree=tree, bench=tree.bench, note=said.get(NOTE))


def _label_faults(known: Known, rows: Sequence[Row]) -> Iterator[tuple[int, Said]]:
    """Yield each label that stands in the table twice or is not free."""
    labels = [(row_n, said["label"]) for row_n, said in rows if "label" in said]
    often = Counter(folded(label) for _, label in labels)
    for row_n, label in labels:
        if often[folded(label)] > 1:
            figures = {"file": "", "found": plain(label)}
            yield row_n, Said("import.label_twice", figures)
        for fault in name_faults(known, label):
            message_id = LABEL_FAULTS[fault.message_id]
            yield row_n, Said(message_id, {"file": "", **fault.figures})


def _told_once(file: str, faults: Iterable[tuple[int, Said]]) -> Iterator[TableFault]:
    """Yield each fault once, with the rows that share it."""
    rows: dict[tuple[str, tuple[tuple[str, Figure], ...]], list[int]] = {}
    for row_n, fault in faults:
        same = (fault.message_id, tuple(fault.figures.items()))
        rows.setdefault(same, []).append(row_n)
    for (message_id, figures), rows_n in rows.items():
        told = dict(figures)
        place = f"{file}, {_rows_told(rows_n)}{told['file']}"
        said = Said(message_id, {**told, "file": place})
        yield TableFault(rows_n=tuple(rows_n), column=_column_of(told), said=said)


def _column_of(figures: Mapping[str, Figure]) -> str:
    """Return the column that a fault of a row tells of."""
    place, key = str(figures["file"]), str(figures.get("key", "label"))
    return place.removeprefix(", ") or key.partition(".")[0]


def _rows_told(rows_n: Sequence[int]) -> str:
    first = ", ".join(map(str, rows_n[:SHOWN_N]))
    more_n = len(rows_n) - SHOWN_N
    word = "row" if len(rows_n) == 1 else "rows"
    return f"{word} {first}" + (f" and {more_n} more" if more_n > 0 else "")


# Its trees


def _labelled(known: Known, lines: Sequence[Line]) -> list[Line]:
    """Give each tree without a label the next one of its bench."""
    owners = {line.tree.label: line.bench for line in lines if line.tree.label}
    bare = Counter(line.bench for line in lines if not line.tree.label)
    new: dict[str, Iterator[str]] = {}
    for bench, count_n in bare.items():
        name = known.benches[bench].name
        labels = next_labels(known, bench, name, count_n, also=owners)
        owners |= dict.fromkeys(labels, bench)
        new[bench] = iter(labels)
    labels_of = (line.tree.label or next(new[line.bench]) for line in lines)
    return [
        replace(line, tree=replace(line.tree, label=label))
        for line, label in zip(lines, labels_of, strict=True)
    ]


def _placed(known: Known, lines: Sequence[Line]) -> list[Line]:
    """Let each tree without a place stand after the last one, row by row."""
    kept, benches = known.book.kept, known.book.benches
    last_n = {
        bench: max((kept[name].place_n or 0.0 for name in names), default=0.0)
        for bench, names in benches.items()
    }
    placed = []
    for line in lines:
        place_n = line.tree.place_n
        if place_n is None:
            place_n = math.floor(last_n.get(line.bench, 0.0)) + 1.0
        last_n[line.bench] = max(place_n, last_n.get(line.bench, 0.0))
        placed.append(replace(line, tree=replace(line.tree, place_n=place_n)))
    return placed


def _tree_events(
    desk: Desk, known: Known, lines: Sequence[Line], happened: datetime
) -> list[Event]:
    names = new_names(known, [line.tree.label or "" for line in lines])
    by_name = dict(zip(names, lines, strict=True))
    nouns = {name: line.tree for name, line in by_name.items()}
    return [
        *first_events_of(desk, known, nouns, happened=happened),
        *(
            event_of(
                desk, Noted(text=line.note), Meant(Sort.TREE, name), happened=happened
            )
            for name, line in by_name.items()
            if line.note
        ),
    ]
