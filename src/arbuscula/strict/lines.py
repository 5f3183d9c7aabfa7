"""Lines: where in a TOML text a key stands, so that a fault can say so."""

import re
from collections.abc import Iterator, Mapping
from typing import Final

HEAD: Final = re.compile(r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?")
KEY: Final = re.compile(r"""\s*((?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*[\w"'-]+)*)\s*=""")
QUOTES: Final = ('"' * 3, "'" * 3)


def lines_of(text: str) -> Mapping[str, int]:
    """Return the line of each key, named as faults name it: warmth.base_c."""
    return dict(_found(text))


def line_at(lines: Mapping[str, int], key: str) -> int | None:
    """Return the line of a key, or of the nearest table above it."""
    while key not in lines and "." in key:
        key = key.rpartition(".")[0]
    return lines.get(key)


def _found(text: str) -> Iterator[tuple[str, int]]:
    table, count, inside = "", dict[str, int](), ""
    for n, line in enumerate(text.splitlines(), 1):
        if inside:
            inside = "" if inside in line else inside
            continue
        inside = next((q for q in QUOTES if line.count(q) == 1), "")
        if head := HEAD.fullmatch(line):
            table = _plain(head[2])
            if head[1] == "[[":
                count[table] = count.get(table, 0) + 1
                table = f"{table}.{count[table]}"
            yield table, n
        elif key := KEY.match(line):
            yield ".".join(filter(None, (table, _plain(key[1])))), n


def _plain(key: str) -> str:
    return ".".join(part.strip().strip("\"'") for part in key.split("."))
