"""Replay: what happened, hour by hour, to trees that are followed together.

An event acts at the whole hour nearest to it, in the order in which events of
that hour happened.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final, TypeAlias

import numpy as np

from arbuscula.kinds.case import Plant
from arbuscula.kinds.events import (
    FINDINGS,
    Checked,
    Defoliated,
    Event,
    How,
    Pruned,
    Repotted,
    SetDown,
    SlipPotted,
    Watered,
    Weighed,
)
from arbuscula.kinds.library import Library
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.substrate import Mix
from arbuscula.kinds.tree import Group, Tree
from arbuscula.science.water.lanes import Carry, carried
from arbuscula.state.book import said_over
from arbuscula.state.learning.evidence import felt, weighed
from arbuscula.state.pots import PottedTree
from arbuscula.state.trees import (
    Pull,
    Trees,
    advance,
    filled,
    left_frac_at,
    renewed,
    soaked,
    trees_of,
)
from arbuscula.units import HOUR_S

Noun: TypeAlias = Tree | Group
GUESSED_LENGTH_MM: Final = {"small": 130.0, "medium": 200.0, "large": 300.0}
GUESSED_MIX: Final[Mix] = {"akadama": 2.0, "pumice": 1.0, "pine-bark": 1.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One event, and the places of the trees it reached."""

    event: Event
    places: tuple[int, ...]


def hour_of(moment: datetime) -> int:
    """Return the whole hour nearest to a moment, counted from 1970."""
    return round(moment.timestamp() / HOUR_S)


def acts_of(
    keys: Sequence[str], lives: Mapping[str, Sequence[Event]]
) -> dict[int, list[Act]]:
    """Return what happened to these trees, by hour and in order."""
    reached: dict[str, list[int]] = defaultdict(list)
    events: dict[str, Event] = {}
    for place, key in enumerate(keys):
        for event in lives.get(key, ()):
            reached[event.id].append(place)
            events[event.id] = event
    acts: dict[int, list[Act]] = defaultdict(list)
    for event in sorted(events.values(), key=_order):
        places = tuple(reached[event.id])
        acts[hour_of(event.happened)].append(Act(event=event, places=places))
    return acts


def _order(event: Event) -> tuple[datetime, bool, datetime, str]:
    return event.happened, not event.kind.endswith(" set"), event.written, event.id


def potted_tree(key: str, noun: Noun, library: Library) -> PottedTree:
    """Return a tree as its grower told it; what was not told is a wide guess."""
    crown = noun.crown or "medium"
    unknown, unsure_ln = library.demand.unknown, 0.0
    if noun.pot is None:
        unsure_ln = np.hypot(unsure_ln, unknown.guessed_pot_ln.value)
    if noun.mix is None:
        unsure_ln = np.hypot(unsure_ln, unknown.guessed_mix_ln.value)
    return PottedTree(
        key=key,
        species=library.species[noun.species],
        pot=pot_of(noun, library),
        mix=noun.mix or GUESSED_MIX,
        plant=Plant(
            leaf_area_m2=noun.leaf_area_m2,
            crown=crown,
            density=noun.density or "normal",
        ),
        usable_unsure_ln=float(unsure_ln),
    )


def pot_of(noun: Noun, library: Library) -> Pot:
    """Return a tree's pot, as told or guessed."""
    return noun.pot or guessed_pot(noun.crown or "medium", library)


def guessed_pot(crown: str, library: Library) -> Pot:
    """Return the usual oval pot below a crown of this size."""
    length_mm = GUESSED_LENGTH_MM[crown]
    ovals = [pot for pot in library.pots if pot.shape == "oval"]
    return min(ovals, key=lambda pot: abs((pot.length_mm or 0) - length_mm))


@dataclass(slots=True, kw_only=True)
class Replay:
    """Trees on their way through time, as described so far."""

    trees: Trees
    nouns: dict[str, Noun]
    told: set[str]  # who has been described at all by now
    acted_h: int  # events up to this hour have acted
    library: Library


def begun(
    nouns: Mapping[str, Noun], library: Library, *, at_h: int, pull: Pull
) -> Replay:
    """Return trees as first described, standing where they were first put."""
    potted = [potted_tree(key, noun, library) for key, noun in nouns.items()]
    replay = Replay(
        trees=trees_of(potted, library, at_h=at_h),
        nouns=dict(nouns),
        told=set(),
        acted_h=at_h - 1,
        library=library,
    )
    for place, key in enumerate(nouns):
        stand(replay, place, key, pull)
    return replay


def stand(replay: Replay, place: int, key: str, pull: Pull) -> None:
    """Let a tree stand where its noun says."""
    noun = replay.nouns[key]
    bench = noun.bench or ""
    replay.trees.pair[place] = pull.pairs.get((bench, noun.species), -1)
    replay.trees.bench_keys[place] = bench
    replay.trees.off = None  # a bench has its own days


def run(
    replay: Replay,
    acts: Mapping[int, Iterable[Act]],
    pull: Pull,
    *,
    until_h: int,
    carry: Carry = carried,
) -> None:
    """Carry the trees on to an hour, through all that happened until then."""
    unknown = replay.library.demand.unknown
    busy = sorted(h for h in acts if replay.acted_h < h <= until_h)
    for hour in busy:
        advance(replay.trees, pull, unknown, hour, carry=carry)
        for act in acts[hour]:
            do(replay, act, pull)
    advance(replay.trees, pull, unknown, until_h, carry=carry)
    replay.acted_h = until_h


def do(replay: Replay, act: Act, pull: Pull) -> None:
    """Let one event change what is known of the trees it reached."""
    trees = replay.trees
    facts, places = act.event.facts, np.array(act.places, dtype=np.int64)
    match facts:
        case Watered(given_ml=given_ml):
            amount_ml = np.inf if given_ml is None else given_ml
            soaked(trees, places, np.full(places.size, amount_ml))
        case Checked(how=how, found=found) if found in FINDINGS[How(how)]:
            if how in replay.library.checks:
                feel = replay.library.checks[how]
                felt(trees, act.places[0], found, feel, act.event.id)
        case Weighed(mass_g=mass_g, standard_error_g=error_g, drained=drained):
            if drained:
                soaked(trees, places, np.full(places.size, np.inf))
            weighed(trees, act.places[0], mass_g, error_g, act.event.id)
        case Pruned(removed_frac=removed) | Defoliated(removed_frac=removed):
            left = 1 - (removed or 0.0)
            trees.cut_frac[places] = 1 - (1 - trees.cut_frac[places]) * left
        case _:
            for place in act.places:
                _described(replay, place, act.event, pull)


def _described(replay: Replay, place: int, event: Event, pull: Pull) -> None:
    """Let a tree be moved, potted or described; another ball begins anew.

    Potted it is full; described better it keeps the share of water it had.
    """
    key = replay.trees.keys[place]
    before = replay.nouns[key]
    after = _told(before, event)
    if after is None:
        return
    replay.nouns[key] = after
    if key not in replay.told or _needs_renewal(before, after):
        left = left_frac_at(replay.trees, place)
        fresh = potted_tree(key, after, replay.library)
        renewed(replay.trees, place, fresh, replay.library)
        if isinstance(event.facts, Repotted | SlipPotted):
            filled(replay.trees, place, np.ones_like(left))
        elif key in replay.told:
            filled(replay.trees, place, left)
        replay.told.add(key)
    stand(replay, place, key, pull)


def _told(noun: Noun, event: Event) -> Noun | None:
    """Return the noun after this event; None if it says nothing of it."""
    match event.facts:
        case Tree() | Group() as said:
            if type(said) is not type(noun):
                return said
            moved = said_over(noun, said)
            return moved if said.bench is not None else replace(moved, bench=noun.bench)
        case SetDown(bench=bench, place_n=place_n):
            return replace(noun, bench=bench, place_n=place_n)
        case Repotted(pot=pot, mix=mix):
            return replace(noun, pot=pot or noun.pot, mix=mix or noun.mix)
        case SlipPotted(pot=pot):
            return replace(noun, pot=pot)
    return None


def _needs_renewal(before: Noun, after: Noun) -> bool:
    """Return whether the ball is another one than before."""
    kept = ("species", "pot", "mix", "leaf_area_m2", "crown", "density")
    return any(getattr(before, name) != getattr(after, name) for name in kept)
