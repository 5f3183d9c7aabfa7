"""Trees: many trees followed together, hour by hour, as one ensemble.

Arrays have members first and trees second. A replay owns its arrays and
changes them in place; nobody else sees them before it is done. Every random
number hangs on the tree, the day or the event, so that a replay in two parts,
or with another tree beside, gives the same.
"""

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.library import Library, Unknowns
from arbuscula.kinds.water import Ball, PotWater
from arbuscula.kinds.weather import Row
from arbuscula.science.water.balance import after_step, usable_frac
from arbuscula.science.water.lanes import Carry, Lanes, Skies, carried
from arbuscula.state.ensemble import Grid, evenly_of, normals_of
from arbuscula.state.pots import (
    Members,
    PottedTree,
    Which,
    leaf_area_of_m2,
    members_of_all,
    taken_ball,
    wall_cm2,
)
from arbuscula.units import DAY_H

MEMBERS_N: Final = 64
Hours: TypeAlias = NDArray[np.float64]  # hours, then members, then pairs


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """What benches ask of trees, hour by hour from one hour on.

    Hours first, members second (or one for all), and third the pairs of a
    bench and a species that occur.
    """

    first_h: int  # hours since 1970
    leaf_ml_m2: Hours
    surface_mm: Hours
    rain_mm: Hours
    pairs: Mapping[tuple[str, str], int]


@dataclass(slots=True, kw_only=True)
class Trees:
    """Trees and what is known of them at one hour."""

    at_h: int
    keys: tuple[str, ...]
    members: Members
    leaf_m2: Row
    cut_frac: Row  # of the leaves, not yet grown again
    wall_cm2: Row
    water: PotWater
    weight_ln: Grid
    pair: NDArray[np.int64]  # where each stands, as a column of Pull; -1: nowhere
    bench_keys: list[str]
    off: tuple[int, Grid] | None = None  # how far a day's demand is off, kept


def trees_of(potted: Sequence[PottedTree], library: Library, *, at_h: int) -> Trees:
    """Return trees of which nothing is known but what their growers said."""
    members = members_of_all(potted, library, members_n=MEMBERS_N)
    keys = tuple(tree.key for tree in potted)
    return Trees(
        at_h=at_h,
        keys=keys,
        members=members,
        leaf_m2=np.array([leaf_area_of_m2(t.plant, library) for t in potted]),
        cut_frac=np.zeros(len(keys)),
        wall_cm2=np.array([wall_cm2(tree) for tree in potted]),
        water=unknown_water(members.ball, keys),
        weight_ln=np.zeros((MEMBERS_N, len(keys))),
        pair=np.full(len(keys), -1),
        bench_keys=[""] * len(keys),
    )


def unknown_water(ball: Ball, keys: Sequence[str]) -> PotWater:
    """Return pots of which nobody knows how wet they are."""
    share = evenly_of([f"{key}\x1fstart" for key in keys], members_n=MEMBERS_N)
    usable_ml = ball.capacity_ml - ball.stop_ml
    return PotWater(
        water_ml=np.asarray(ball.stop_ml + share * usable_ml),
        surface_depletion_mm=np.asarray((1 - share) * ball.stage_2_mm),
        canopy_ml=np.zeros_like(share),
    )


def renewed(trees: Trees, place: int, tree: PottedTree, library: Library) -> None:
    """Let one tree begin anew, as its grower now describes it."""
    fresh = trees_of([tree], library, at_h=trees.at_h)
    put(trees, place, fresh)


def put(trees: Trees, places: Which, others: Trees) -> None:
    """Put other trees into these places, with all that is known of them."""
    into, known = arrays_of(trees), arrays_of(others)
    for name, array in into.items():
        array[..., np.atleast_1d(places)] = known[name]


def arrays_of(trees: Trees) -> dict[str, NDArray[np.float64]]:
    """Return every array of the trees by name, trees along the last axis."""
    groups: dict[str, Ball | Members | PotWater | Trees] = {
        "ball": trees.members.ball,
        "members": trees.members,
        "water": trees.water,
        "": trees,
    }
    return {
        f"{group}.{f.name}": part
        for group, owner in groups.items()
        for f in fields(owner)
        if isinstance(part := getattr(owner, f.name), np.ndarray) and f.name != "pair"
    }


def chosen(trees: Trees, places: NDArray[np.int64]) -> Trees:
    """Return some of the trees, in this order, as arrays of their own."""
    return from_arrays(
        {n: np.take(array, places, axis=-1) for n, array in arrays_of(trees).items()},
        at_h=trees.at_h,
        keys=tuple(trees.keys[place] for place in places.tolist()),
    )


def from_arrays(
    arrays: Mapping[str, NDArray[np.float64]], *, at_h: int, keys: tuple[str, ...]
) -> Trees:
    """Return trees out of their arrays; where they stand is yet to be said."""

    def group(name: str) -> dict[str, NDArray[np.float64]]:
        start = f"{name}."
        return {
            k.removeprefix(start): a for k, a in arrays.items() if k.startswith(start)
        }

    return Trees(
        at_h=at_h,
        keys=keys,
        members=Members(ball=Ball(**group("ball")), **group("members")),
        water=PotWater(**group("water")),
        pair=np.full(len(keys), -1),
        bench_keys=[""] * len(keys),
        off=None,
        **group(""),
    )


def joined(several: Sequence[Trees], keys: Sequence[str]) -> Trees:
    """Return trees of several replays that stand at one hour, in this order."""
    arrays = [arrays_of(trees) for trees in several]
    whole = {n: np.concatenate([a[n] for a in arrays], axis=-1) for n in arrays[0]}
    all_keys = tuple(key for trees in several for key in trees.keys)
    together = from_arrays(whole, at_h=several[0].at_h, keys=all_keys)
    place = {key: n for n, key in enumerate(all_keys)}
    return chosen(together, np.array([place[key] for key in keys], dtype=np.int64))


def soaked(trees: Trees, places: NDArray[np.int64], given_ml: Row) -> None:
    """Give water to some trees, at once; infinite: soaked until it ran."""
    ball = taken_ball(trees.members.ball, places)
    before = water_of(trees, places)
    after, _ = after_step(
        before,
        ball,
        rain_mm=0.0,
        given_ml=given_ml,
        leaf_ml=0.0,
        surface_mm=0.0,
        wall_ml=0.0,
    )
    for f in fields(PotWater):
        np.asarray(getattr(trees.water, f.name))[:, places] = getattr(after, f.name)


def filled(trees: Trees, place: int, left: Row) -> None:
    """Let one tree have this share of its usable water."""
    capacity_ml = np.asarray(trees.members.ball.capacity_ml)[:, place]
    stop_ml = np.asarray(trees.members.ball.stop_ml)[:, place]
    water_ml = np.asarray(trees.water.water_ml)
    water_ml[:, place] = stop_ml + left * (capacity_ml - stop_ml)


def water_of(trees: Trees, places: Which) -> PotWater:
    """Return what some trees hold."""
    names = [f.name for f in fields(PotWater)]
    return PotWater(**{n: getattr(trees.water, n)[:, places] for n in names})


def advance(
    trees: Trees,
    pull: Pull,
    unknown: Unknowns,
    until_h: int,
    *,
    carry: Carry = carried,
) -> None:
    """Carry the trees on to an hour, if nobody comes."""
    no_lines = np.zeros((0, len(trees.keys)))
    deque(passings(trees, pull, unknown, until_h, no_lines, carry=carry), maxlen=0)


def passings(
    trees: Trees,
    pull: Pull,
    unknown: Unknowns,
    until_h: int,
    line_frac: Grid,
    *,
    carry: Carry = carried,
) -> Iterator[NDArray[np.float64]]:
    """Carry the trees on, and yield from day to day when they pass their lines.

    Lines, members, trees; hours since 1970, infinite where none is passed.
    """
    while trees.at_h < until_h:
        day = trees.at_h // DAY_H
        if trees.off is None or trees.off[0] != day:
            trees.off = day, day_ratio_of(trees, unknown, day)
        from_h, to_h = trees.at_h, min(until_h, (day + 1) * DAY_H)
        skies = _skies_between(pull, from_h, to_h)
        after = carry(_lanes(trees, trees.off[1]), skies, line_frac)
        trees.water, trees.cut_frac, trees.at_h = after.water, after.cut_frac, to_h
        yield from_h + after.passed_h


def _skies_between(pull: Pull, from_h: int, until_h: int) -> Skies:
    hours = slice(from_h - pull.first_h, until_h - pull.first_h)
    return Skies(
        leaf_ml_m2=pull.leaf_ml_m2[hours],
        surface_mm=pull.surface_mm[hours],
        rain_mm=pull.rain_mm[hours],
    )


def _lanes(trees: Trees, day_ratio: Grid) -> Lanes:
    members = trees.members
    return Lanes(
        ball=members.ball,
        water=trees.water,
        leaf_m2=trees.leaf_m2,
        cut_frac=trees.cut_frac,
        wall_cm2=trees.wall_cm2,
        demand_ratio=members.demand_ratio,
        surface_ratio=members.surface_ratio,
        wall_ratio=members.wall_ratio,
        day_ratio=day_ratio,
        sky=trees.pair,
    )


def day_ratio_of(trees: Trees, unknown: Unknowns, day: int) -> Grid:
    """Return how far one day's demand is off: the bench's part and the tree's."""
    benches = sorted(set(trees.bench_keys))
    place = {key: n for n, key in enumerate(benches)}
    of_bench = normals_of([f"{b}\x1fday {day}" for b in benches], members_n=MEMBERS_N)
    of_tree = normals_of([f"{k}\x1fday {day}" for k in trees.keys], members_n=MEMBERS_N)
    columns = [place[key] for key in trees.bench_keys]
    return np.exp(
        unknown.day_bench_ln.value * np.take(of_bench, columns, axis=1)
        + unknown.day_tree_ln.value * of_tree
    )


def left_frac(trees: Trees) -> Grid:
    """Return what each member has left of its usable water."""
    return np.asarray(usable_frac(trees.water.water_ml, trees.members.ball))


def left_frac_at(trees: Trees, place: int) -> Row:
    """Return what each member of one tree has left of its usable water."""
    ball = taken_ball(trees.members.ball, place)
    return np.asarray(usable_frac(water_of(trees, place).water_ml, ball))


def shares_of(trees: Trees) -> Grid:
    """Return the members' weights, each tree's adding up to one."""
    weight = np.exp(trees.weight_ln - trees.weight_ln.max(axis=0))
    return weight / weight.sum(axis=0)
