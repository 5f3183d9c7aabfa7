"""Paper: a round that was ticked in pencil, typed back in a line a bench.

Bench 3: done but 4 11; light 4; dry 11
East window: only 1 2; heavy 5-7
"""

import re
from collections.abc import Iterator
from typing import Final

from arbuscula.desk import Desk
from arbuscula.desk.names import Known, known_from, meant
from arbuscula.desk.record import Recorded, RecordWish, record_all
from arbuscula.desk.told import check_from_words
from arbuscula.kinds.events import Sort
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.ledger.book import all_events
from arbuscula.strict.quote import plain

DONE: Final = re.compile(r"done(?:\s+but\s+(?P<but>.+))?")
ONLY: Final = re.compile(r"only\s+(?P<only>.+)")
FOUND: Final = re.compile(r"(?P<found>[a-z][a-z ]*?)\s+(?P<which>[\d\s,.-]+)")


def record_paper(desk: Desk, lines: str, *, at: str | None = None) -> Recorded:
    """Write down a whole round, or nothing; all faults of it at once."""
    known = known_from(all_events(desk.ledger()))
    wishes: list[RecordWish] = []
    faults: list[Said] = []
    for n, line in enumerate(lines.splitlines(), 1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        try:
            wishes += _line(known, line, at)
        except ArbusculaError as error:
            faults += [_in_line(n, fault) for fault in error.faults]
    if faults:
        raise ArbusculaError(*faults)
    return record_all(desk, wishes)


def _in_line(n: int, fault: Said) -> Said:
    if fault.message_id == "paper.not_read":
        return Said("paper.not_read", {**fault.figures, "row": f"{n}"})
    return fault


def _line(known: Known, line: str, at: str | None) -> Iterator[RecordWish]:
    """Yield what one line tells: looks first, then the water."""
    name, colon, said = line.partition(":")
    if not colon:
        raise ArbusculaError(
            Said("paper.not_read", {"row": "", "found": plain(line.strip())})
        )
    bench = meant(known, name, Sort.BENCH).name
    parts = [part.strip().casefold() for part in said.split(";") if part.strip()]
    water = [part for part in parts if DONE.fullmatch(part) or ONLY.fullmatch(part)]
    for part in parts:
        if part not in water:
            yield from _looks(known, bench, part, at)
    for part in water:
        done, only = DONE.fullmatch(part), ONLY.fullmatch(part)
        yield RecordWish(
            subject=known.benches[bench].name,
            words=("watered",),
            excepted=done["but"] if done else None,
            only=only["only"] if only else None,
            at=at,
        )


def _looks(known: Known, bench: str, part: str, at: str | None) -> Iterator[RecordWish]:
    """Yield a check for each pot that a phrase such as `light 4 11` tells of."""
    found = FOUND.fullmatch(part)
    if not found:
        raise ArbusculaError(Said("paper.not_read", {"row": "", "found": plain(part)}))
    words = tuple(found["found"].split())
    check_from_words(words)  # refuses what is no finding
    places = {known.book.kept[n].place_n: n for n in known.book.benches.get(bench, ())}
    for place in _numbers(found["which"]):
        if place not in places:
            figures = {"found": f"{place:g}", "bench": known.benches[bench].name}
            raise ArbusculaError(Said("paper.no_place", figures))
        yield RecordWish(subject=places[place], words=("checked", *words), at=at)


def _numbers(words: str) -> Iterator[float]:
    for part in filter(None, re.split(r"[,\s]+", words)):
        first, dash, last = part.partition("-")
        if dash and first and last:
            yield from map(float, range(int(first), int(last) + 1))
        else:
            yield float(part)
