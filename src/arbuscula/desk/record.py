"""Record: what happened, in a grower's few words, becomes events of the book."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from typing import Final, Literal, TypeAlias

from arbuscula.desk import Desk
from arbuscula.desk.answers import Json, data
from arbuscula.desk.facts import Reader, facts_from_words
from arbuscula.desk.light_read import unnamed_light
from arbuscula.desk.moments import zone_of
from arbuscula.desk.names import (
    NUMBERED,
    Known,
    Meant,
    all_meant,
    borne,
    folded,
    known_from,
    label_of,
    name_faults,
    tidy,
    yard_of,
)
from arbuscula.desk.person import mark_of
from arbuscula.desk.photos import as_kept
from arbuscula.desk.told import MEASURED, NOTED, PHOTOGRAPHED, Told, told_from
from arbuscula.desk.writing import Drafted, event_of, happened_at, written
from arbuscula.kinds.events import (
    FINDINGS,
    KINDS,
    Checked,
    Corrected,
    Divided,
    Event,
    Facts,
    Fed,
    Joined,
    LayeredOff,
    Measured,
    Photographed,
    Reached,
    Reading,
    Received,
    Reserved,
    Sent,
    Sold,
    Sort,
    Treated,
    Watered,
)
from arbuscula.kinds.said import ArbusculaError, Figure, NotDoneError, Said
from arbuscula.kinds.tree import Group, Tree
from arbuscula.ledger.persons import all_persons
from arbuscula.state.book import PLANTS, WALKED, book_at, standing
from arbuscula.strict.faults import gathered
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain

Work: TypeAlias = Watered | Fed | Treated
Words: TypeAlias = tuple[str, ...]
SUPPLIES: Final = {  # set up here as well, under the name they are told of
    "source set": (Sort.SOURCE, "name"),
    "mix set": (Sort.MIX, "name"),
    "stock set": (Sort.STOCK, "product"),
}
NEW: Final = {kind: sort for kind, (sort, _) in SUPPLIES.items()} | {
    "joined": Sort.GROUP
}
ANYWHERE: Final = (MEASURED, NOTED, PHOTOGRAPHED)
SHORTEST_ID_N: Final = 4  # letters that may stand for the whole
RUN: Final = re.compile(r"(?P<first>[0-9]{1,6})-(?P<last>[0-9]{1,6})")
PLACE: Final = re.compile(r"[0-9]{1,6}(\.[0-9]+)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordWish:
    """What is to be written down."""

    subject: str  # a label, a name, a bench; several with commas between
    words: Words  # the kind, then its facts
    excepted: str | None = None  # on a bench or a line: all but these
    only: str | None = None
    at: str | None = None  # None: now
    id: str | None = None  # the writer's own, so that sending twice stores once
    by: str = ""  # who writes: a name or a mark; the book keeps the mark alone


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedEvent:
    """One event that was written, or had been written before."""

    id: str
    kind: str
    subject: str  # as it is called
    at: datetime  # on the clock of its yard
    facts: Facts
    reached: tuple[str, ...]  # labels of those in whose lives it stands
    missed: tuple[str, ...]  # labels of those who were there and were left out


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """The answer: what stands in the book now."""

    schema: Literal["arbuscula.record/1"] = "arbuscula.record/1"
    events: tuple[RecordedEvent, ...]
    sent_before: bool = False  # it was there, and was not written again
    notes: tuple[Said, ...] = ()  # what was taken with a wider doubt, and why


def record(desk: Desk, wish: RecordWish) -> Recorded:
    """Write down what happened to whom; to several alike, or to none."""
    return record_all(desk, [wish])


def record_all(desk: Desk, wishes: Sequence[RecordWish]) -> Recorded:
    """Write down several things at once, or none of them."""
    marked = [replace(wish, by=_mark(desk, wish.by)) for wish in wishes]
    return written(desk, partial(_draft, desk, marked))


def undo(desk: Desk, event_id: str, *, because: str = "", by: str = "") -> Recorded:
    """Take an event back: another one says that it does not hold.

    What should hold instead follows as one of its own. The first letters of an
    id stand for the whole where no other begins so.
    """
    return written(desk, partial(_undone, desk, event_id, because, _mark(desk, by)))


# What happened


def _draft(desk: Desk, wishes: Sequence[RecordWish], known: Known) -> Drafted[Recorded]:
    pairs = [(event, wish) for wish in wishes for event in _events(desk, wish, known)]
    events = [event for event, _ in pairs]
    if before := _sent_before(known, pairs):
        return replace(_answer(known, before), sent_before=True), []
    if faults := [fault for event in events for fault in _refused(known, event)]:
        raise NotDoneError(*faults)
    answer = _answer(known_from((*known.events, *events)), events)
    nobody = [
        Said("record.nobody", {"subject": told.subject, "at": told.at})
        for event, told in zip(events, answer.events, strict=True)
        if event.sort in WALKED and isinstance(event.facts, Work) and not told.reached
    ]
    if nobody:
        raise NotDoneError(*nobody)
    return replace(answer, notes=tuple(_notes(desk, events))), events


def _notes(desk: Desk, events: Sequence[Event]) -> Iterator[Said]:
    """Yield what was written and says less than it could, each once."""
    figures = desk.library().benches.light
    readings = [e.facts.reading for e in events if isinstance(e.facts, Measured)]
    said = filter(None, (unnamed_light(reading, figures) for reading in readings))
    yield from {one.message_id: one for one in said}.values()


def _events(desk: Desk, wish: RecordWish, known: Known) -> list[Event]:
    """Return the events of one wish: names are those of the time it tells of."""
    told = told_from(wish.words)
    about = _about(known, wish.subject, told.kind)
    happened = happened_at(desk, known, yard_of(known, about[0]), wish.at)
    then = known if wish.at is None else known_from(known.events, happened)
    about = gathered(lambda: _about(then, wish.subject, told.kind), []) or about
    now = Reader(library=desk.library(), known=known)
    read = partial(_facts_then, replace(now, known=then), now, wish, told)
    events = [
        event_of(desk, _as_kept(desk, read(one)), one, happened=happened, by=wish.by)
        for one in about
    ]
    return _under_own_id(events, wish.id)


def _about(known: Known, words: str, kind: str) -> tuple[Meant, ...]:
    """Return who is meant; what is joined and supplies may be new."""
    if kind in NEW and folded(words) not in known.called and tidy(words):
        return (Meant(NEW[kind], tidy(words)),)
    sorts = _sorts_of(kind)
    try:
        return all_meant(known, words, *sorts)
    except ArbusculaError as error:
        others = gathered(lambda: all_meant(known, words), []) or ()
        odd = [_not_of_this(kind, one) for one in others if one.sort not in sorts]
        raise ArbusculaError(*(odd or error.faults)) from None


def _sorts_of(kind: str) -> tuple[Sort, ...]:
    """Return what this kind can be said of."""
    if kind.endswith(" set"):
        return (Sort(kind.removesuffix(" set")),)
    if kind in ANYWHERE:
        return tuple(Sort)
    return (*PLANTS, *WALKED) if issubclass(KINDS[kind], Work) else PLANTS


def _not_of_this(kind: str, one: Meant) -> Said:
    figures = {"kind": kind, "found": plain(one.name), "sort": one.sort.value}
    return Said("record.not_of_this", figures)


# Who


def _mark(desk: Desk, words: str) -> str:
    """Return the mark of a person who is known; nobody has none."""
    return mark_of(all_persons(desk.ledger()), words) if words else ""


def _as_kept(desk: Desk, facts: Facts) -> Facts:
    """Let the book bear marks and digests; names and pictures are kept beside it."""
    if isinstance(facts, Photographed):
        return as_kept(desk.home, facts)
    if isinstance(facts, Received):
        return replace(facts, giver=_mark(desk, facts.giver))
    if isinstance(facts, Reserved | Sold | Sent):
        return replace(facts, buyer=_mark(desk, facts.buyer))
    return facts


# Its facts


def _facts_then(
    then: Reader, now: Reader, wish: RecordWish, told: Told, one: Meant
) -> Facts:
    """Read facts with the names of that time, or with those of now."""
    facts = gathered(lambda: _facts(then, wish, told, one), [])
    return facts or _facts(now, wish, told, one)


def _facts(reader: Reader, wish: RecordWish, told: Told, one: Meant) -> Facts:
    """Return the facts that words tell of one that is meant."""
    name = f"{one.name}, {told.kind}"
    if told.kind == MEASURED:
        reading = facts_from_words(Reading, told.said, reader, name=name)
        return Measured(reading=reading)
    kind: type[Facts] = KINDS[told.kind]
    before = _before(one, told.kind, reader.known)
    facts = facts_from_words(kind, told.said, reader, name=name, before=before)
    if isinstance(facts, Checked) and facts.found not in FINDINGS[facts.how]:
        figures = {"found": facts.found.value, "near": ", ".join(FINDINGS[facts.how])}
        raise ArbusculaError(Said("record.no_finding", figures))
    if wish.excepted is None and wish.only is None:
        return facts
    if not isinstance(facts, Work) or one.sort not in WALKED:
        raise ArbusculaError(_not_of_this(f"{told.kind}, except or only", one))
    return replace(facts, reached=_reached(reader.known, one, wish))


def _before(one: Meant, kind: str, known: Known) -> dict[str, Json]:
    """Return what holds of a noun anyway, where it is set again."""
    if kind in SUPPLIES:
        key = SUPPLIES[kind][1]
        supplies = {**known.sources, **known.mixes, **known.stocks}
        return {**_plain(supplies.get(one.name)), key: one.name}
    if kind == "yard set":
        return _plain(known.yards[one.name])
    if kind == "bench set":
        return _plain(known.benches.get(one.name))
    plant = known.book.kept.get(one.name)
    return {"species": plant.species} if plant and kind.endswith(" set") else {}


def _plain(noun: object) -> dict[str, Json]:
    told = _without_gaps(data(noun))
    return told if isinstance(told, dict) else {}


def _without_gaps(part: Json) -> Json:
    """Return data without what is unsaid."""
    if isinstance(part, dict):
        said = {key: each for key, each in part.items() if each is not None}
        return {key: _without_gaps(each) for key, each in said.items()}
    return [_without_gaps(each) for each in part] if isinstance(part, list) else part


def _reached(known: Known, one: Meant, wish: RecordWish) -> Reached:
    """Return whom work on a bench or a line reached: all but some, or only some."""
    there = _walk(known, one)
    faults: list[Said] = []
    excepted = gathered(lambda: _told_by(known, there, one, wish.excepted), faults)
    only = gathered(lambda: _told_by(known, there, one, wish.only), faults)
    if faults:
        raise ArbusculaError(*faults)
    kept = known.book.kept
    at_places = [name for name in there if kept[name].place_n in (only or ())]
    names = [*(n for n in only or () if isinstance(n, str)), *at_places]
    return Reached(
        only=None if wish.only is None else tuple(dict.fromkeys(names)),
        excepted=tuple(n for n in excepted or () if isinstance(n, str)),
        excepted_places_n=tuple(n for n in excepted or () if isinstance(n, float)),
    )


def _walk(known: Known, one: Meant) -> Sequence[str]:
    """Return who stands on a bench, or hangs on a line."""
    if one.sort is Sort.BENCH:
        return known.book.benches.get(one.name, ())
    spots = known.sources[one.name].reaches
    names = (n for spot in spots for n in (spot, *known.book.benches.get(spot, ())))
    return [name for name in dict.fromkeys(names) if name in known.book.kept]


def _told_by(
    known: Known, there: Sequence[str], one: Meant, words: str | None
) -> list[str | float]:
    """Read `3, 5-7, B3-12` as places along the walk and as names."""
    found = [(part, _at(known, there, part)) for part in _parts(words or "", there)]
    figures: dict[str, Figure] = {"subject": one.name}
    faults = [
        Said("record.not_there", {"found": plain(part), **figures})
        for part, name in found
        if name is None
    ]
    if faults:
        raise ArbusculaError(*faults)
    return [name for _, name in found if name is not None]


def _parts(words: str, there: Sequence[str]) -> Iterator[str]:
    """Yield each label, and each place of a run such as 5-7."""
    for part in filter(None, map(tidy, words.split(","))):
        several = part.split(" ")
        is_numbers = all(RUN.fullmatch(p) or PLACE.fullmatch(p) for p in several)
        for word in several if is_numbers else [part]:
            run = RUN.fullmatch(word) if word not in there else None
            if run:
                numbers = range(int(run["first"]), int(run["last"]) + 1)
                yield from map(str, numbers[: len(there)])
            else:
                yield word


def _at(known: Known, there: Sequence[str], word: str) -> str | float | None:
    """Return who is meant: by label, name, place or the number on the label."""
    names = {folded(label_of(known, name)): name for name in there}
    names = {folded(name): name for name in there} | names
    if folded(word) in names or not PLACE.fullmatch(word):
        return names.get(folded(word))
    if float(word) in [known.book.kept[name].place_n for name in there]:
        return float(word)
    found = ((NUMBERED.fullmatch(label_of(known, name)), name) for name in there)
    return {end["number"]: name for end, name in found if end}.get(word)


# What is there already, and what cannot be


def _under_own_id(events: Sequence[Event], own_id: str | None) -> list[Event]:
    """Give events the writer's own id; of several each has a number after it."""
    if own_id is None:
        return [*events]
    if len(events) == 1:
        return [replace(events[0], id=own_id)]
    return [replace(event, id=f"{own_id}-{n}") for n, event in enumerate(events, 1)]


def _sent_before(
    known: Known, pairs: Sequence[tuple[Event, RecordWish]]
) -> list[Event]:
    """Return the events as they are stored, if they came before; refuse others."""
    sent = {event.id: (event, wish) for event, wish in pairs}
    stored = [event for event in known.events if event.id in sent]
    same = {event.id for event in stored if _is_again(*sent[event.id], event)}
    if stored and (others := [event_id for event_id in sent if event_id not in same]):
        faults = [Said("ledger.conflict", {"event": other}) for other in others]
        raise NotDoneError(*faults)
    return stored


def _is_again(sent: Event, wish: RecordWish, stored: Event) -> bool:
    """Return whether this is the same event, told at another minute."""
    happened = sent.happened if wish.at else stored.happened
    return replace(sent, written=stored.written, happened=happened) == stored


def _refused(known: Known, event: Event) -> Iterator[Said]:
    """Yield why the new names of an event cannot be given."""
    for name in _names_given(known, event):
        faults = [*name_faults(known, name)]
        yield from faults
        if not faults and folded(name) in borne(known):
            yield Said("name.taken", {"found": plain(name), "sort": Sort.TREE.value})
    match event.facts:
        case Tree(label=str(label)) | Group(label=str(label)):
            if folded(label) != folded(label_of(known, event.subject)):
                yield from name_faults(known, label)


def _names_given(known: Known, event: Event) -> Sequence[str]:
    match event.facts:
        case Divided(into=parts):
            return [p for p in parts if folded(p) != folded(event.subject)]
        case LayeredOff(new=new):
            return [new]
        case Joined() if event.subject not in known.book.kept:
            return [event.subject]
    return []


# What is taken back


def _undone(
    desk: Desk, event_id: str, because: str, by: str, known: Known
) -> Drafted[Recorded]:
    event = _event_of_id(known, event_id)
    if event not in standing(known.events):
        raise NotDoneError(Said("record.undone_already", {"event": event.id}))
    about = Meant(event.sort, event.subject)
    facts = Corrected(event=event.id, because=because)
    taken_back = event_of(desk, facts, about, happened=desk.clock(), by=by)
    told = replace(_told(known, taken_back), reached=_told(known, event).reached)
    return Recorded(events=(told,)), [taken_back]


def _event_of_id(known: Known, words: str) -> Event:
    """Return an event by its id, or by enough letters from its beginning."""
    by_id = {event.id: event for event in known.events}
    if words in by_id:
        return by_id[words]
    found = [event_id for event_id in by_id if event_id.startswith(words)]
    if len(found) == 1 and len(words) >= SHORTEST_ID_N:
        return by_id[found[0]]
    near = ", ".join(near_names(words, by_id)) or "-"
    raise ArbusculaError(Said("record.no_event", {"found": plain(words), "near": near}))


# The answer


def _answer(known: Known, events: Sequence[Event]) -> Recorded:
    """Return what was written, out of a book in which it stands."""
    return Recorded(events=tuple(_told(known, event) for event in events))


def _told(known: Known, event: Event) -> RecordedEvent:
    about = Meant(event.sort, event.subject)
    yard = known.yards.get(yard_of(known, about) or "")
    zone = zone_of(yard.timezone if yard else "UTC")
    bench = known.benches.get(event.subject) if event.sort is Sort.BENCH else None
    reached = _labels_reached(known, event)
    return RecordedEvent(
        id=event.id,
        kind=event.kind,
        subject=bench.name if bench else label_of(known, event.subject),
        at=event.happened.astimezone(zone),
        facts=event.facts,
        reached=reached,
        missed=tuple(n for n in _labels_there(known, event) if n not in reached),
    )


def _labels_reached(known: Known, event: Event) -> tuple[str, ...]:
    """Return the labels of those in whose lives an event stands."""
    lives = known.book.lives.items()
    names = (n for n, life in lives if any(told.id == event.id for told in life))
    return tuple(sorted((label_of(known, name) for name in names), key=_counted))


def _counted(label: str) -> tuple[str, int]:
    """Return a label as people put labels in order: B3-9 before B3-10."""
    found = NUMBERED.fullmatch(label)
    return (found["prefix"], int(found["number"])) if found else (label, 0)


def _labels_there(known: Known, event: Event) -> tuple[str, ...]:
    """Return whom work on a bench or a line would have reached without exception."""
    facts = event.facts
    if not isinstance(facts, Work) or facts.reached is None:
        return ()
    whole = replace(event, facts=replace(facts, reached=None))
    others = (told for told in known.events if told.id != event.id)
    book = book_at((*others, whole), since=event.happened)
    return _labels_reached(replace(known, book=book), whole)
