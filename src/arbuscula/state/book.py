"""Book: what holds at a time: last words, who stands where, whose life is whose.

All of it is a function of the set of events; the order in which they came is of
no account. They are told in the order they happened. At one and the same moment
an exchange of labels comes first, then what describes a noun, then the rest.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from datetime import datetime
from typing import TYPE_CHECKING, Final, TypeAlias, TypeVar, cast

from arbuscula.kinds.events import (
    Corrected,
    Died,
    Divided,
    Event,
    Fed,
    IntoHospital,
    Joined,
    LabelsExchanged,
    LayeredOff,
    OutOfHospital,
    Preferred,
    Reached,
    Repotted,
    Returned,
    Sent,
    SetDown,
    SlipPotted,
    Sort,
    Treated,
    Watered,
    Weighed,
)
from arbuscula.kinds.supplies import WaterSource
from arbuscula.kinds.tree import Group, Tree

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

Kept: TypeAlias = Tree | Group
Word = TypeVar("Word", bound="DataclassInstance")
PLANTS: Final = (Sort.TREE, Sort.GROUP)
LASTING: Final = (Preferred, IntoHospital, OutOfHospital, Repotted, Weighed)
WALKED: Final = (Sort.BENCH, Sort.SOURCE)  # work on these reaches whoever is there


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """What the events say at one time.

    Everything is under the name that a tree or group bears at that time. Its
    life goes back through exchanged labels to what it was called before, and
    through a division to what it was part of. Lives outlast their trees.
    """

    kept: Mapping[str, Kept]  # all that are here: as described, moved and potted
    benches: Mapping[str, tuple[str, ...]]  # who stands there, along the walk
    lives: Mapping[str, tuple[Event, ...]]


def standing(events: Iterable[Event]) -> tuple[Event, ...]:
    """Return the events that no correction has taken back.

    A correction can be taken back as well; then what it named holds again.
    """
    events = tuple(events)
    by_target: dict[str, list[str]] = {}
    for event in events:
        if isinstance(event.facts, Corrected):
            by_target.setdefault(event.facts.event, []).append(event.id)
    if not by_target:
        return events

    def holds(event_id: str, seen: tuple[str, ...] = ()) -> bool:
        takers = (t for t in by_target.get(event_id, ()) if t not in seen)
        return not any(holds(taker, (*seen, event_id)) for taker in takers)

    return tuple(e for e in events if e.id not in by_target or holds(e.id))


def last_words(
    events: Iterable[Event], noun: type[Word], at: datetime | None = None
) -> dict[str, Word]:
    """Return each subject of one noun as it was last described.

    Trees and groups move and are potted without being described again: for
    them ask `book_at`.
    """
    words: dict[str, Word] = {}
    of_noun = [e for e in standing(events) if isinstance(e.facts, noun)]
    for event in _in_order(of_noun, at):
        before = words.get(event.subject)
        words[event.subject] = said_over(before, cast("Word", event.facts))
    return words


def book_at(
    events: Iterable[Event],
    at: datetime | None = None,
    *,
    since: datetime | None = None,
) -> Book:
    """Return what all events up to a time say together.

    With `since`, lives hold only what happened then and later, and what lasts;
    all the rest is told from the first event on in any case.
    """
    telling = _Telling(since)
    for event in _in_order(standing(events), at):
        telling.tell(event)
    known = sorted(telling.nouns.keys() | telling.lives.keys())
    return Book(
        kept={name: telling.kept(name) for name in known if name in telling.here},
        benches={bench: telling.walk(bench) for bench in sorted(telling.on)},
        lives={name: tuple(telling.lives.get(name, ())) for name in known},
    )


def names_before(
    events: Iterable[Event], then: datetime, at: datetime
) -> dict[str, str]:
    """Return what those bore then whose labels were exchanged until now."""
    bore: dict[str, str] = {}
    for event in _in_order(standing(events), at):
        if isinstance(event.facts, LabelsExchanged) and event.happened > then:
            one, other = event.subject, event.facts.other
            bore[one], bore[other] = bore.get(other, other), bore.get(one, one)
    return bore


def _in_order(events: Iterable[Event], at: datetime | None) -> list[Event]:
    known = (e for e in events if at is None or e.happened <= at)
    return sorted(known, key=order_of)


def order_of(event: Event) -> tuple[datetime, int, datetime, str]:
    """Return where an event stands among those of its moment."""
    rank = 2 - event.kind.endswith(" set") - 2 * (event.kind == "labels exchanged")
    return event.happened, rank, event.written, event.id


def said_over(before: Word | None, after: Word) -> Word:
    """Return a noun as last described; what is left unsaid stays as it was."""
    if before is None:
        return after
    unsaid = [f.name for f in fields(after) if getattr(after, f.name) is None]
    said = {name: getattr(before, name, None) for name in unsaid}
    return replace(after, **said)


class _Telling:
    """The events told one by one, and what holds so far."""

    def __init__(self, since: datetime | None) -> None:
        self.since = since
        self.nouns: dict[str, Kept] = {}
        self.labels: dict[str, str] = {}  # a label stays with its name
        self.here: set[str] = set()
        self.on: dict[str, dict[str, None]] = {}  # bench: names as they arrived
        self.sources: dict[str, WaterSource] = {}
        self.lives: dict[str, list[Event]] = {}

    def tell(self, event: Event) -> None:
        lasts = isinstance(event.facts, LASTING)
        if lasts or self.since is None or event.happened >= self.since:
            for name in self.concerned(event):
                self.lives.setdefault(name, []).append(event)
        match event.facts:
            case WaterSource() as source:
                self.sources[event.subject] = source
            case LabelsExchanged(other=other):
                self.exchange(event.subject, other)
            case Divided(into=parts, left_n=left_n):
                self.divide(event.subject, parts, left_n)
            case LayeredOff(new=new):
                self.part(event.subject, new)
            case Joined(parts=parts):
                self.join(event.subject, parts)
            case Sent() | Died():
                self.leave(event.subject)
            case Tree() | Group() as noun:
                self.describe(event.subject, noun)
            case _ if event.subject in self.nouns:
                self.change(event.subject, event)

    # Whom an event is about

    def concerned(self, event: Event) -> Iterable[str]:
        match event.facts:
            case LabelsExchanged(other=other):
                return (event.subject, other)
            case Joined(parts=parts):
                return dict.fromkeys((event.subject, *parts))
            case Watered() | Fed() | Treated() as work if event.sort in WALKED:
                return self.reached(event, work.reached)
        return (event.subject,) if event.sort in PLANTS else ()

    def reached(self, event: Event, reached: Reached | None) -> Iterable[str]:
        """Return who was reached by work on a bench or a line."""
        names: Iterable[str] = self.walk(event.subject)
        if event.sort is Sort.SOURCE:
            names = self.on_line(event.subject)
        if reached is None:
            return names
        excepted = {*reached.excepted, *reached.excepted_places_n}
        return [
            name
            for name in names
            if reached.only is None or self.told_by(name) & {*reached.only}
            if not self.told_by(name) & excepted
        ]

    def on_line(self, source: str) -> list[str]:
        """Return who hangs on a line, each once, by itself or by its bench."""
        spots = self.sources[source].reaches if source in self.sources else ()
        names = (name for spot in spots for name in (spot, *self.walk(spot)))
        return [name for name in dict.fromkeys(names) if name in self.here]

    def told_by(self, name: str) -> set[str | float | None]:
        """Return what a tree may be called: its name, its label, its place."""
        return {name, self.labels.get(name), self.nouns[name].place_n} - {None}

    def walk(self, bench: str) -> tuple[str, ...]:
        """Return who stands on a bench; of one place, whoever came first."""

        def place(name: str) -> float:
            place_n = self.nouns[name].place_n
            return math.inf if place_n is None else place_n

        return tuple(sorted(self.on.get(bench, ()), key=place))

    def kept(self, name: str) -> Kept:
        noun, label = self.nouns[name], self.labels.get(name)
        return noun if noun.label == label else replace(noun, label=label)

    # What an event changes

    def describe(self, name: str, noun: Kept) -> None:
        before = self.nouns.get(name)
        if noun.label is not None:
            self.labels[name] = noun.label
        if before is None:
            self.here.add(name)
        elif noun.bench not in (None, before.bench):
            before = replace(before, place_n=None)  # a place of another bench
        self.keep(name, said_over(before, noun))

    def change(self, name: str, event: Event) -> None:
        noun = self.nouns[name]
        match event.facts:
            case SetDown(bench=bench, place_n=place_n):
                self.lift(name)
                self.keep(name, replace(noun, bench=bench, place_n=place_n))
            case Returned():
                self.here.add(name)
                self.keep(name, replace(noun, bench=None, place_n=None))
            case Repotted(pot=pot, mix=mix):
                self.keep(name, replace(noun, pot=pot or noun.pot, mix=mix or noun.mix))
            case SlipPotted(pot=pot):
                self.keep(name, replace(noun, pot=pot))

    def keep(self, name: str, noun: Kept) -> None:
        """Let a noun hold, and its tree stand where it says."""
        if self.bench_of(name) != noun.bench:
            self.lift(name)
        self.nouns[name] = noun
        if noun.bench is not None and name in self.here:
            self.on.setdefault(noun.bench, {})[name] = None

    def lift(self, name: str) -> None:
        self.on.get(self.bench_of(name) or "", {}).pop(name, None)

    def bench_of(self, name: str) -> str | None:
        noun = self.nouns.get(name)
        return noun.bench if noun else None

    def leave(self, name: str) -> None:
        self.lift(name)
        self.here.discard(name)

    # Names that change hands

    def exchange(self, one: str, other: str) -> None:
        """Let two names change hands, and with them all but the labels."""
        _swap(self.nouns, one, other)
        _swap(self.lives, one, other)
        if len({one, other} & self.here) == 1:
            self.here ^= {one, other}
        names = {one: other, other: one}
        for bench in self.on.keys() & {noun.bench for noun in self.some(one, other)}:
            self.on[bench] = {names.get(n, n): None for n in self.on[bench]}

    def divide(self, name: str, parts: Iterable[str], left_n: int) -> None:
        for part in parts:
            if part != name:
                self.part(name, part)
        if not left_n and name not in parts:
            self.leave(name)
        for noun in self.some(name):
            if isinstance(noun, Group) and left_n:
                self.nouns[name] = replace(noun, plants_n=left_n)

    def part(self, whole: str, new: str) -> None:
        """Let a new one go on from what it was part of."""
        self.lives[new] = self.merged(whole, new)
        for noun in self.some(whole):
            before = Tree(species=noun.species, bench=noun.bench)
            said = self.nouns.get(new, before)
            self.here.add(new)
            self.keep(new, said_over(before, said))

    def join(self, name: str, parts: Iterable[str]) -> None:
        self.lives[name] = self.merged(name, *parts)
        first = next(iter(self.some(*parts)), None)
        for part in parts:
            if part != name:
                self.leave(part)
        if first is not None and name not in self.nouns:
            self.describe(name, Group(species=first.species, bench=first.bench))

    def some(self, *names: str) -> list[Kept]:
        """Return those nouns that anybody ever described."""
        return [self.nouns[name] for name in names if name in self.nouns]

    def merged(self, *names: str) -> list[Event]:
        lives = (self.lives.get(name, ()) for name in names)
        by_id = {event.id: event for life in lives for event in life}
        return sorted(by_id.values(), key=order_of)


Thing = TypeVar("Thing")


def _swap(table: dict[str, Thing], one: str, other: str) -> None:
    there = {n: table.pop(n) for n in (one, other) if n in table}
    names = {one: other, other: one}
    table.update({names[n]: thing for n, thing in there.items()})
