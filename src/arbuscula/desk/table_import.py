"""Import: a table of trees, one to a row; all of it is written, or nothing.

Every fault is told with its row and its column; one that many rows share is
told once. Rows are counted as a spreadsheet shows them: the head is row 1.
"""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import datetime
from functools import partial
from pathlib import Path
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
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.tree import Tree
from arbuscula.strict.columns import Sheet, sheet_from_csv
from arbuscula.strict.faults import gathered
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain
from arbuscula.strict.text import text_of_file

NOTE: Final = "note"
COLUMNS: Final = (*(f.name for f in fields(Tree)), NOTE)
NEEDED: Final = ("bench", "species")
ALSO: Final = {"place": "place_n"}
SHOWN_N: Final = 3  # rows in one sentence
LABEL_FAULTS: Final = {
    "name.not_read": "import.label_not_read",
    "name.taken": "import.label_taken",
}
Row: TypeAlias = tuple[int, dict[str, str]]  # its number, and each column's text


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportWish:
    """A file of trees."""

    file: Path
    yard: str | None = None
    make_benches: bool = False  # those that the book does not know yet
    since: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """The answer: all that was written."""

    schema: Literal["arbuscula.import/1"] = "arbuscula.import/1"
    labels: tuple[str, ...]  # of the trees, row by row
    benches: tuple[str, ...]  # made for them, under the open sky
    ids: tuple[str, ...]  # of the events


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One row that is sound, and the tree it tells of."""

    tree: Tree
    bench: str
    note: str | None


def import_trees(desk: Desk, wish: ImportWish) -> Imported:
    """Set up every tree of a table, or say all that is wrong with it."""
    sheet = sheet_from_csv(text_of_file(wish.file), name=wish.file.name)
    if faults := [*_heads_faults(sheet)]:
        raise ArbusculaError(*faults)
    return written(desk, partial(_draft, desk, wish, sheet))


def _draft(
    desk: Desk, wish: ImportWish, sheet: Sheet, book: Known
) -> Drafted[Imported]:
    yard = yard_meant(book, wish.yard)
    happened = happened_at(desk, book, yard, wish.since)
    rows = [*_rows(sheet)]
    benches = _new_benches(book, yard, rows) if wish.make_benches else {}
    events = first_events_of(desk, book, benches, happened=happened)
    known = known_from((*book.events, *events))
    lines = _lines(Reader(library=desk.library(), known=known), sheet.name, yard, rows)
    lines = _placed(known, _labelled(known, lines))
    events += _tree_events(desk, known, lines, happened)
    answer = Imported(
        labels=tuple(line.tree.label or "" for line in lines),
        benches=tuple(bench.name for bench in benches.values()),
        ids=tuple(event.id for event in events),
    )
    return answer, events


# The table


def _heads_faults(sheet: Sheet) -> Iterator[Said]:
    heads = [_column(head) for head in sheet.heads]
    for head in heads:
        if head and head not in COLUMNS:
            near = ", ".join(near_names(head, COLUMNS) or COLUMNS)
            figures = {"file": sheet.name, "column": plain(head), "near": near}
            yield Said("import.unknown_column", figures)
    for head in {head for head in heads if head and heads.count(head) > 1}:
        yield Said("table.doubled", {"file": sheet.name, "column": plain(head)})
    for head in (head for head in NEEDED if head not in heads):
        found = ", ".join(map(plain, sheet.heads))
        figures = {"file": sheet.name, "column": head, "found": found}
        yield Said("import.missing_column", figures)
    longer = [n for n, cells in _numbered(sheet) if any(cells[len(heads) :])]
    if longer:
        figures = {"row": f"{longer[0]}", "rows": f"{len(longer)}"}
        figures |= {"file": sheet.name, "heads": f"{len(heads)}"}
        yield Said("table.long_row", figures)


def _column(head: str) -> str:
    return ALSO.get(head.casefold(), head.casefold())


def _numbered(sheet: Sheet) -> Iterable[tuple[int, tuple[str, ...]]]:
    return zip(sheet.places_n, sheet.rows, strict=True)


def _rows(sheet: Sheet) -> Iterator[Row]:
    """Yield each row by its number, and what stands in it by its column."""
    heads = [_column(head) for head in sheet.heads]
    for n, cells in _numbered(sheet):
        pairs = zip(heads, cells, strict=False)
        yield n, {head: tidy(cell) for head, cell in pairs if head and tidy(cell)}


def _new_benches(known: Known, yard: str, rows: Sequence[Row]) -> dict[str, Bench]:
    """Return the benches that rows name and the book does not know."""
    names: dict[str, str] = {}
    for name in (said["bench"] for _, said in rows if "bench" in said):
        names.setdefault(folded(name), name)  # as it is first written
    new = [name for name in names.values() if not _is_bench(known, yard, name)]
    if faults := [fault for name in new for fault in name_faults(known, name)]:
        raise ArbusculaError(*faults)
    return {n: Bench(yard=yard, name=n, exposure=Exposure.OPEN) for n in new}


def _is_bench(known: Known, yard: str, name: str) -> bool:
    called = known.called.get(folded(_bench_words(known, yard, name)), ())
    return any(one.sort is Sort.BENCH for one in called)


def _bench_words(known: Known, yard: str, name: str) -> str:
    """Return a bench's name after that of this yard, if there is one."""
    whole = f"{yard}/{name}"
    return whole if folded(whole) in known.called else name


# Its rows


def _lines(reader: Reader, file: str, yard: str, rows: Sequence[Row]) -> list[Line]:
    """Read every row, or tell all that is wrong with any of them."""
    faults = [*_label_faults(reader.known, rows)]
    lines = []
    for row_n, said in rows:
        own: list[Said] = []
        line = gathered(partial(_line, reader, yard, said), own)
        faults += [(row_n, fault) for fault in own]
        lines += [line] if line else []
    if faults:
        raise ArbusculaError(*_told_once(file, faults))
    return lines


def _line(reader: Reader, yard: str, said: Mapping[str, str]) -> Line:
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
    return Line(tree=tree, bench=tree.bench, note=said.get(NOTE))


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


def _told_once(file: str, faults: Iterable[tuple[int, Said]]) -> Iterator[Said]:
    """Yield each fault once, with the rows that share it."""
    rows: dict[tuple[str, tuple[tuple[str, Figure], ...]], list[int]] = {}
    for row_n, fault in faults:
        same = (fault.message_id, tuple(fault.figures.items()))
        rows.setdefault(same, []).append(row_n)
    for (message_id, figures), rows_n in rows.items():
        told = dict(figures)
        place = f"{file}, {_rows_told(rows_n)}{told['file']}"
        yield Said(message_id, {**told, "file": place})


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
