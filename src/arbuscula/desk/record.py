"""Record: what happened, in a grower's few words, becomes an event.

The words after a name tell the kind and then its facts: `check half`,
`weighed 2350`, `watered 800`, `repotted pot="oval 235 x 180 x 70"`. Words
without a key fill the first field of the facts.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from datetime import datetime
from functools import partial
from typing import Final, Literal, TypeAlias

from arbuscula.desk import Desk
from arbuscula.desk.facts import Plain, Reader, facts_from_words, number_or_text
from arbuscula.desk.moments import zone_of
from arbuscula.desk.names import Known, Meant, all_meant, label_of, meant, yard_of
from arbuscula.desk.writing import Drafted, event_of, happened_at, written
from arbuscula.kinds.events import (
    FINDINGS,
    KINDS,
    Checked,
    Corrected,
    Event,
    Facts,
    Found,
    Measured,
    Reached,
    Reading,
)
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.state.book import PLANTS, WALKED
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain
from arbuscula.units import unit_of

KEYED: Final = re.compile(r"(?P<key>[a-z][a-z0-9_]*)=(?P<text>.*)", re.DOTALL)
SHORT: Final = {  # said every day, and shorter than the kind's own name
    "check": "checked",
    "weigh": "weighed",
    "water": "watered",
    "feed": "fed",
    "note": "noted",
    "keep": "kept",
    "exchange labels": "labels exchanged",
    "join": "joined",
    "divide": "divided",
}
MEASURED: Final = {  # the unit is plain where the name is
    "night_min": "night_min_c",
    "day_max": "day_max_c",
    "trunk": "trunk_mm",
    "height": "height_cm",
    "spread": "spread_cm",
}
ANYWHERE: Final = ("measured", "noted", "photographed")
ON_A_WALK: Final = ("watered", "fed", "treated")
LONGEST_KIND_N: Final = 3  # words
Words: TypeAlias = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordWish:
    """What is to be written down."""

    subject: str
    words: Words
    excepted: str | None = None  # on a bench or a line: all but these
    only: str | None = None
    at: str | None = None
    id: str | None = None
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedEvent:
    """One event that was written, or had been written before."""

    id: str
    kind: str
    subject: str  # as it is called
    at: datetime
    reached: tuple[str, ...]  # labels of those it counts for


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """The answer: what stands in the book now."""

    schema: Literal["arbuscula.record/1"] = "arbuscula.record/1"
    events: tuple[RecordedEvent, ...]


def record(desk: Desk, wish: RecordWish) -> Recorded:
    """Write down what happened to whom; to several alike, or to none."""
    return written(desk, partial(_draft, desk, wish))


def undo(desk: Desk, event_id: str, *, by: str = "") -> Recorded:
    """Take an event back: another one says that it does not hold."""
    return written(desk, partial(_undone, desk, event_id, by))


def _draft(desk: Desk, wish: RecordWish, known: Known) -> Drafted[Recorded]:
    abouts = all_meant(known, wish.subject)
    kind, rest = kind_from_words(wish.words)
    reader = Reader(library=desk.library(), known=known)
    events = []
    for n, about in enumerate(abouts):
        _refuse_elsewhere(kind, about)
        facts = _facts(kind, rest, wish, reader, about)
        happened = happened_at(desk, known, yard_of(known, about), wish.at)
        event = event_of(desk, facts, about, happened=happened, by=wish.by)
        events.append(_with_id(event, wish.id, n, len(abouts)))
    return _answer(known, events), events


def _with_id(event: Event, wished: str | None, n: int, count_n: int) -> Event:
    """Return the event under the id that was wished, so that twice is once."""
    if wished is None:
        return event
    return replace(event, id=wished if count_n == 1 else f"{wished}-{n + 1}")


def kind_from_words(words: Words) -> tuple[str, Words]:
    """Return the kind that words begin with, and what is left of them."""
    plain_words = [word for word in words if not KEYED.fullmatch(word)]
    for n in range(min(len(plain_words), LONGEST_KIND_N), 0, -1):
        said = " ".join(words[:n]).casefold().replace("_", " ")
        kind = SHORT.get(said, said)
        if kind in KINDS and not kind.endswith(" set"):
            return kind, words[n:]
    first = words[0] if words else ""
    if first in MEASURED or (unit_of(first) and len(words) > 1):
        return "measured", words
    kinds = [kind for kind in KINDS if not kind.endswith(" set")]
    near = near_names(" ".join(plain_words), [*SHORT, *kinds]) or kinds
    figures = {"found": plain(" ".join(words)), "near": ", ".join(near)}
    raise ArbusculaError(Said("record.unknown_kind", figures))


def _refuse_elsewhere(kind: str, about: Meant) -> None:
    """Refuse what cannot happen to such a subject."""
    walked = kind in ON_A_WALK and about.sort in WALKED
    if about.sort in PLANTS or kind in ANYWHERE or walked:
        return
    figures = {"kind": kind, "found": about.name, "sort": about.sort.value}
    raise ArbusculaError(Said("record.not_of_this", figures))


def _facts(
    kind: str, words: Words, wish: RecordWish, reader: Reader, about: Meant
) -> Facts:
    """Return the facts that words tell of one subject."""
    if kind == "checked":
        return check_from_words(words)
    if kind == "measured":
        return _measured(words)
    said = dict(_said(words, kind))
    before: dict[str, Plain] = {}
    if wish.excepted or wish.only:
        if about.sort not in WALKED:
            figures = {"kind": kind, "found": about.name, "sort": about.sort.value}
            raise ArbusculaError(Said("record.not_of_this", figures))
        before["reached"] = _reached(wish, reader.known)
    return facts_from_words(KINDS[kind], said, reader, name=kind, before=before)


def _said(words: Words, kind: str) -> Iterator[tuple[str, str]]:
    """Yield keys and texts; words without a key go to the first field."""
    bare = [word for word in words if not KEYED.fullmatch(word)]
    if bare:
        names = [f.name for f in fields(KINDS[kind])]
        if not names:
            figures = {"kind": kind, "found": plain(" ".join(bare))}
            raise ArbusculaError(Said("record.too_much", figures))
        yield names[0], " ".join(bare)
    for word in words:
        if found := KEYED.fullmatch(word):
            yield found["key"], found["text"]


def check_from_words(words: Words) -> Checked:
    """Read `half`, `finger dry`, `drains slowly`: a bare word finds how."""
    said = " ".join(words).casefold()
    for how, findings in FINDINGS.items():
        for found in findings:
            if said in (found.value, f"{how.value} {found.value}"):
                return Checked(how=how, found=found)
    known = [f"{how.value} {f.value}" for how, some in FINDINGS.items() for f in some]
    near = near_names(said, [*known, *(f.value for f in Found)]) or known
    figures = {"found": plain(said), "near": ", ".join(near)}
    raise ArbusculaError(Said("record.no_finding", figures))


def _measured(words: Words) -> Measured:
    """Read `night_min 8.5` or `trunk_mm 52`, and how it was measured."""
    name, rest = words[0], words[1:]
    quantity = MEASURED.get(name, name)
    value = number_or_text(rest[0]) if rest else None
    if not isinstance(value, (int, float)) or isinstance(value, bool):
        figures = {"found": plain(" ".join(words))}
        raise ArbusculaError(Said("record.no_number", figures))
    how = " ".join(rest[1:])
    return Measured(reading=Reading(quantity=quantity, value=float(value), how=how))


def _reached(wish: RecordWish, known: Known) -> Plain:
    """Return who was reached: all but some, or only some; by place or by label."""
    places, names = _places_and_names(wish.excepted or "", known)
    table: dict[str, Plain] = {
        "excepted": [*names],
        "excepted_places_n": [*places],
    }
    if wish.only:
        only_places, only_names = _places_and_names(wish.only, known)
        on_bench = known.book.benches.get(meant(known, wish.subject).name, ())
        kept = known.book.kept
        at_place = [n for n in on_bench if kept[n].place_n in only_places]
        table["only"] = [*only_names, *at_place]
    return table


def _places_and_names(
    words: str, known: Known
) -> tuple[tuple[float, ...], tuple[str, ...]]:
    """Return `3, 5-7, B3-12` as places along the bench and names of plants."""
    places: list[float] = []
    names: list[str] = []
    for part in filter(None, re.split(r"[,\s]+", words)):
        if run := re.fullmatch(r"(\d+)-(\d+)", part):
            places += map(float, range(int(run[1]), int(run[2]) + 1))
        elif re.fullmatch(r"\d+(\.\d+)?", part):
            places.append(float(part))
        else:
            names.append(meant(known, part, *PLANTS).name)
    return tuple(places), tuple(names)


def _undone(desk: Desk, event_id: str, by: str, known: Known) -> Drafted[Recorded]:
    by_id = {event.id: event for event in known.events}
    event = by_id.get(event_id)
    if event is None:
        near = ", ".join(near_names(event_id, by_id)) or "-"
        figures = {"found": plain(event_id), "near": near}
        raise ArbusculaError(Said("record.no_event", figures))
    about = Meant(event.sort, event.subject)
    facts = Corrected(event=event_id)
    taken_back = event_of(desk, facts, about, happened=desk.clock(), by=by)
    return _answer(known, [taken_back]), [taken_back]


def _answer(known: Known, events: Iterable[Event]) -> Recorded:
    return Recorded(events=tuple(_told(known, event) for event in events))


def _told(known: Known, event: Event) -> RecordedEvent:
    about = Meant(event.sort, event.subject)
    yard = known.yards.get(yard_of(known, about) or "")
    zone = zone_of(yard.timezone if yard else "UTC")
    return RecordedEvent(
        id=event.id,
        kind=event.kind,
        subject=label_of(known, event.subject),
        at=event.happened.astimezone(zone),
        reached=tuple(_labels_reached(known, event)),
    )


def _labels_reached(known: Known, event: Event) -> Iterator[str]:
    """Yield the labels of those that an event counts for."""
    if event.sort in PLANTS:
        yield label_of(known, event.subject)
        return
    reached = getattr(event.facts, "reached", None) or Reached()
    excepted = {*reached.excepted, *reached.excepted_places_n}
    for name in known.book.benches.get(event.subject, ()):
        plant = known.book.kept[name]
        told_by = {name, plant.label, plant.place_n}
        if reached.only is not None and not told_by & {*reached.only}:
            continue
        if not told_by & excepted:
            yield label_of(known, name)


def record_all(desk: Desk, wishes: Sequence[RecordWish]) -> Recorded:
    """Write down several things at once, or none of them."""

    def draft(known: Known) -> Drafted[Recorded]:
        events: list[Event] = []
        for wish in wishes:
            _, some = _draft(desk, wish, known)
            events += some
        return _answer(known, events), events

    return written(desk, draft)
