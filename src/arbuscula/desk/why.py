"""Why: what the advice for one tree rests on, figure by figure."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from typing import TYPE_CHECKING, Final, Literal
from zoneinfo import ZoneInfo

import numpy as np

from arbuscula.desk import Desk
from arbuscula.desk.followed import (
    AHEAD_H,
    Followed,
    Yarded,
    followed,
    key_of,
    yarded_at,
)
from arbuscula.desk.views import looked_ahead, tree_views
from arbuscula.kinds.events import Event
from arbuscula.kinds.pot import Colour
from arbuscula.kinds.round import Call, When
from arbuscula.kinds.said import Figure, Said
from arbuscula.kinds.values import Grade, Spread, Value
from arbuscula.kinds.weather import Row
from arbuscula.microclimate.root_ball import absorbed_frac
from arbuscula.plan.rounds import rounds_around, stop_at
from arbuscula.rules import RULES
from arbuscula.state.outlook import Outlook, tenths_h
from arbuscula.state.pots import PottedTree
from arbuscula.state.replay import potted_tree

if TYPE_CHECKING:
    from arbuscula.kinds.leaf import Stomata
    from arbuscula.kinds.library import BallTraits
    from arbuscula.kinds.species import Thirst

LAST_EVENTS_N: Final = 12
WALLS: Final[Mapping[Colour | None, str]] = {
    "dark": "why.walls_dark",
    "medium": "why.walls_medium",
    "light": "why.walls_light",
    None: "why.walls_unknown",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """One number of the library that the advice rests on."""

    name: str
    value: float
    low: float
    high: float
    grade: Grade
    cite: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """One event of the tree's life."""

    id: str
    kind: str
    at: datetime
    subject: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """The answer: the advice for one tree, and everything it stands on."""

    schema: Literal["arbuscula.why/1"] = "arbuscula.why/1"
    tree: str
    label: str
    bench: str
    latin: str
    at: datetime
    advice: Call
    because: tuple[Said, ...]
    due: When
    late: When
    left_frac: Spread  # of the usable water
    capacity_ml: Spread
    usable_ml: Spread
    demand_ratio: Spread  # over the model's own, out of its own evidence
    taught_ratio: Spread  # and out of everybody's
    odd_n: float  # standard errors that it lies off what the others teach
    walls: Said  # how dark the pot is, or that nobody said
    guessed: tuple[Said, ...]
    events: tuple[Happened, ...]
    grounds: tuple[Ground, ...]


def why(
    desk: Desk, name: str, *, at: datetime | None = None, yard: str | None = None
) -> Why:
    """Say why a tree got its advice, from the book down to the library."""
    at = at or desk.clock()
    yarded = yarded_at(desk, yard, at)
    at = at.astimezone(ZoneInfo(yarded.yard.timezone))
    key = key_of(yarded, name)
    rounds = rounds_around(at, yarded.yard.rounds, yarded.yard.timezone)
    now = followed(desk, yarded, at)
    ahead = looked_ahead(desk, now, hours_n=AHEAD_H)
    place = now.replay.trees.keys.index(key)
    view = next(v for v in tree_views(desk, now, ahead, rounds, at) if v.key == key)
    unseen_d = yarded.yard.longest_unseen_d
    stop = stop_at(view, rounds, at, rules=RULES, longest_unseen_d=unseen_d)
    noun = now.replay.nouns[key]
    tree = potted_tree(key, noun, desk.library())
    ball = now.replay.trees.members.ball
    capacity_ml = np.asarray(ball.capacity_ml)[:, place]
    usable_ml = capacity_ml - np.asarray(ball.stop_ml)[:, place]
    return Why(
        tree=key,
        label=noun.label or key,
        bench=noun.bench or "",
        latin=desk.library().species[noun.species].latin,
        at=at,
        advice=stop.call,
        because=stop.because,
        due=view.due,
        late=view.late,
        left_frac=_weighted(ahead.own.left_frac[:, place], ahead.own, place),
        capacity_ml=_weighted(capacity_ml, ahead.own, place),
        usable_ml=_weighted(usable_ml, ahead.own, place),
        demand_ratio=_weighted(
            now.replay.trees.members.demand_ratio[:, place], ahead.own, place
        ),
        taught_ratio=_weighted(
            now.taught.members.demand_ratio[:, place], ahead.taught, place
        ),
        odd_n=float(now.belief.odd[place]) if now.belief else 0.0,
        walls=_walls(now, tree),
        guessed=tuple(_guessed(now, tree)),
        events=tuple(_events(yarded, key)),
        grounds=tuple(_grounds(desk, now, key)),
    )


def _weighted(members: Row, ahead: Outlook, place: int) -> Spread:
    column = members[:, np.newaxis]
    share = ahead.share[:, place][:, np.newaxis]
    low, middle, high = tenths_h(column, share)[:, 0]
    return Spread(p10=float(low), p50=float(middle), p90=float(high))


def _walls(now: Followed, tree: PottedTree) -> Said:
    """Return what the pot's walls take up of the sun, which warms the roots."""
    taken = absorbed_frac(tree.pot, now.replay.library.benches.pot.absorbed)
    figures: dict[str, Figure] = {
        "absorbed_frac": taken.value,
        "low_frac": taken.low,
        "high_frac": taken.high,
    }
    return Said(WALLS[tree.pot.colour], figures)


def _guessed(now: Followed, tree: PottedTree) -> Iterator[Said]:
    """Yield what nobody told of this tree, and what stands in for it."""
    noun = now.replay.nouns[tree.key]
    if noun.pot is None:
        sizes = f"{tree.pot.length_mm:.0f} x {tree.pot.width_mm:.0f} x "
        yield Said("why.guessed_pot", {"sizes": sizes + f"{tree.pot.depth_mm:.0f}"})
    if noun.mix is None:
        yield Said("why.guessed_mix", {"mix": ", ".join(tree.mix)})
    if noun.leaf_area_m2 is None:
        yield Said("why.guessed_leaf", {"crown": noun.crown or "medium"})


def _events(yarded: Yarded, key: str) -> Iterator[Happened]:
    zone = ZoneInfo(yarded.yard.timezone)
    for event in yarded.book.lives.get(key, ())[-LAST_EVENTS_N:]:
        yield _happened(event, zone)


def _happened(event: Event, zone: ZoneInfo) -> Happened:
    return Happened(
        id=event.id,
        kind=event.kind,
        at=event.happened.astimezone(zone),
        subject=event.subject,
    )


def _grounds(desk: Desk, now: Followed, key: str) -> Iterator[Ground]:
    """Yield the library's numbers for this species and pot, the weakest first."""
    library = desk.library()
    noun = now.replay.nouns[key]
    species = library.species[noun.species]
    tree = potted_tree(key, noun, library)
    groups: list[Thirst | Stomata[Value] | BallTraits] = [
        species.thirst,
        species.stomata,
        library.demand.ball,
    ]
    found: dict[str, Value] = {
        f.name: part
        for group in groups
        for f in fields(group)
        if isinstance(part := getattr(group, f.name), Value)
    }
    found |= {
        f"{s}, saturated_frac": library.substrates[s].saturated_frac for s in tree.mix
    }
    walls = f"{tree.pot.colour or 'unknown'} walls, absorbed_frac"
    found[walls] = absorbed_frac(tree.pot, library.benches.pot.absorbed)
    order = list(Grade)
    for name, value in sorted(found.items(), key=lambda i: -order.index(i[1].grade)):
        yield Ground(
            name=name,
            value=value.value,
            low=value.low,
            high=value.high,
            grade=value.grade,
            cite=library.sources[value.source].cite,
        )
