"""Exchange: the book out into a file for others to read, and in again from one."""

import csv
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal, TypeAlias

from arbuscula.desk import Desk
from arbuscula.desk.fresh import fresh
from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.ledger.book import Ledger, head
from arbuscula.ledger.chain import Head
from arbuscula.ledger.exchange import book_lines, take_lines
from arbuscula.ledger.sheet import sheet_heads, sheet_rows
from arbuscula.strict.text import text_of_file

MOST_BYTES: Final = 4_000_000_000  # some ten million events


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """The answer: how much of the book stands in the file."""

    schema: Literal["arbuscula.export/1"] = "arbuscula.export/1"
    file: str
    events_n: int
    digest: str  # of the book up to there


@dataclass(frozen=True, slots=True, kw_only=True)
class EventsImported:
    """The answer: what came in, and how far the book has grown."""

    schema: Literal["arbuscula.import_events/1"] = "arbuscula.import_events/1"
    file: str
    told_n: int
    new_n: int
    events_n: int  # of the book, now
    digest: str
    same: bool  # the file and the book now tell the same, in the same order


def export(desk: Desk, path: Path, *, replaces: bool = False) -> Exported:
    """Write every event into a file: lines of JSON, or a table."""
    write = WRITERS.get(path.suffix)
    if write is None:
        figures = {"file": str(path), "known": ", ".join(WRITERS)}
        raise ArbusculaError(Said("export.unknown_ending", figures))
    if path.exists() and not replaces:
        raise NotDoneError(Said("export.is_there", {"file": str(path)}))
    ledger = desk.ledger()
    end = head(ledger)
    with fresh(path) as new:
        write(ledger, end, new)
    return Exported(file=str(path), events_n=end.position_n, digest=end.digest)


def _write_lines(ledger: Ledger, end: Head, path: Path) -> None:
    with path.open("w", encoding="ascii", newline="\n") as file:
        file.writelines(f"{line}\n" for line in book_lines(ledger, end))


def _write_sheet(ledger: Ledger, end: Head, path: Path) -> None:
    """Write a table; the mark in front tells spreadsheets that it is UTF-8."""
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        table = csv.DictWriter(file, sheet_heads(ledger, end), restval="")
        table.writeheader()
        table.writerows(sheet_rows(ledger, end))


Writer: TypeAlias = Callable[[Ledger, Head, Path], None]
WRITERS: Final[dict[str, Writer]] = {".jsonl": _write_lines, ".csv": _write_sheet}


def import_events(desk: Desk, path: Path) -> EventsImported:
    """Take in every event of an exported book, each once, or none of them."""
    text = text_of_file(path, most_bytes=MOST_BYTES)
    lines = text.removesuffix("\n").split("\n")
    taken = take_lines(desk.ledger(), lines, name=path.name)
    return EventsImported(
        file=str(path),
        told_n=taken.told_n,
        new_n=taken.new_n,
        events_n=taken.head.position_n,
        digest=taken.head.digest,
        same=taken.same,
    )
