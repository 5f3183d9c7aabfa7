"""Tree: one plant or several kept as one: set up, listed, and its whole life."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, tzinfo
from functools import partial
from itertools import chain
from typing import Literal

from arbuscula.desk import Desk
from arbuscula.desk.facts import Reader, facts_from_words
from arbuscula.desk.may import VerdictTold, asked_for
from arbuscula.desk.moments import zone_of
from arbuscula.desk.names import (
    Known,
    Meant,
    known_from,
    label_of,
    meant,
    name_faults,
    new_names,
    next_labels,
    tidy,
    yard_of,
)
from arbuscula.desk.plants import PlantRow, plant_row, plant_rows
from arbuscula.desk.writing import (
    Drafted,
    event_of,
    first_events_of,
    happened_at,
    written,
)
from arbuscula.kinds.events import Corrected, Event, Facts, Noted, Sort
from arbuscula.kinds.said import NotDoneError
from arbuscula.kinds.tree import Group, Tree
from arbuscula.ledger.book import all_events
from arbuscula.state.book import PLANTS, Kept, book_at, order_of, standing


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeWish:
    """A plant to set up; of what is not said nothing is written down."""

    bench: str
    label: str | None = None  # None: the next one of its bench
    said: Mapping[str, str] = field(default_factory=dict)
    note: str | None = None
    since: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeAdded:
    """The answer: the new tree or group."""

    schema: Literal["arbuscula.tree_add/1"] = "arbuscula.tree_add/1"
    tree: PlantRow
    ids: tuple[str, ...]  # of the events


@dataclass(frozen=True, slots=True, kw_only=True)
class Trees:
    """The answer: all that are here, bench by bench along the walk."""

    schema: Literal["arbuscula.tree_list/1"] = "arbuscula.tree_list/1"
    trees: tuple[PlantRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeEvent:
    """One event of a life, at the time of its yard."""

    id: str
    at: datetime
    written: datetime
    sort: Sort
    subject: str  # what it was called then, or the bench or line
    kind: str
    facts: Facts
    by: str
    taken_back_by: str | None  # the correction


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeShown:
    """The answer: one plant as it stands, and its whole life."""

    schema: Literal["arbuscula.tree/1"] = "arbuscula.tree/1"
    tree: str
    label: str
    here: PlantRow | None  # None: sent, dead or part of another
    life: tuple[LifeEvent, ...]
    jobs: tuple[VerdictTold, ...]  # the verdicts on what it asks for itself


def add_tree(desk: Desk, wish: TreeWish) -> TreeAdded:
    """Set up a tree on a bench."""
    return written(desk, partial(_draft, desk, wish, Tree))


def add_group(desk: Desk, wish: TreeWish) -> TreeAdded:
    """Set up a tray, a forest, or other plants that are kept as one."""
    return written(desk, partial(_draft, desk, wish, Group))


def _draft(
    desk: Desk, wish: TreeWish, kind: type[Kept], known: Known
) -> Drafted[TreeAdded]:
    bench = meant(known, wish.bench, Sort.BENCH).name
    label = _label(known, wish, bench)
    reader = Reader(library=desk.library(), known=known)
    said = facts_from_words(kind, wish.said, reader, name=label)
    (name,) = new_names(known, [label])
    plant = replace(said, label=label, bench=bench)
    happened = happened_at(desk, known, known.benches[bench].yard, wish.since)
    events = first_events_of(desk, known, {name: plant}, happened=happened)
    if wish.note:
        about = Meant(events[0].sort, name)
        noted = Noted(text=wish.note)
        events.append(event_of(desk, noted, about, happened=happened))
    row = plant_row(known, name, plant)
    return TreeAdded(tree=row, ids=tuple(event.id for event in events)), events


def _label(known: Known, wish: TreeWish, bench: str) -> str:
    """Return the label that was said, if it is free, or the bench's next one."""
    if wish.label is None:
        return next_labels(known, bench, known.benches[bench].name, 1)[0]
    if faults := [*name_faults(known, wish.label)]:
        raise NotDoneError(*faults)
    return tidy(wish.label)


def list_trees(desk: Desk, bench: str | None = None) -> Trees:
    """Say who is here, on one bench or on all."""
    known = known_from(all_events(desk.ledger()))
    if bench is not None:
        key = meant(known, bench, Sort.BENCH).name
        return Trees(trees=plant_rows(known, known.book.benches.get(key, ())))
    walks = [known.book.benches.get(key, ()) for key in known.benches]
    in_order = dict.fromkeys(chain(*walks, known.book.kept))  # the benchless last
    return Trees(trees=plant_rows(known, in_order))


def show_tree(desk: Desk, words: str) -> TreeShown:
    """Say what a plant is, and all that happened to it."""
    known = known_from(all_events(desk.ledger()))
    one = meant(known, words, *PLANTS)
    yard = known.yards.get(yard_of(known, one) or "")
    zone = zone_of(yard.timezone if yard else "UTC")
    life = sorted(_life(known, one.name), key=lambda e: order_of(e[0]))
    return TreeShown(
        tree=one.name,
        label=label_of(known, one.name),
        here=next(iter(plant_rows(known, [one.name])), None),
        life=tuple(_told(event, taker, zone) for event, taker in life),
        jobs=asked_for(desk, known, one.name),
    )


def _life(known: Known, name: str) -> Iterator[tuple[Event, str | None]]:
    """Yield what holds of a life, and what was taken back, each with its taker.

    What was taken back is told as if nothing ever had been.
    """
    yield from ((event, None) for event in known.book.lives.get(name, ()))
    holding = standing(known.events)
    holds = {event.id for event in holding}
    takers = {e.facts.event: e.id for e in holding if isinstance(e.facts, Corrected)}
    said = [e for e in known.events if not isinstance(e.facts, Corrected)]
    for event in book_at(said).lives.get(name, ()):
        if event.id not in holds:
            yield event, takers[event.id]


def _told(event: Event, taker: str | None, zone: tzinfo) -> LifeEvent:
    return LifeEvent(
        id=event.id,
        at=event.happened.astimezone(zone),
        written=event.written.astimezone(zone),
        sort=event.sort,
        subject=event.subject,
        kind=event.kind,
        facts=event.facts,
        by=event.by,
        taken_back_by=taker,
    )
