"""Trees: many trees followed together, hour by hour, as one ensemble.

Arrays have members first and trees second. A replay owns its arrays and
changes them in place; nobody else sees them before it is done. Every random
number hangs on the tree, the day or the event, so that a replay in two parts,
or with another tree beside, gives the same.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.library import Library, Unknowns
from arbuscula.kinds.water import Ball, PotWater
from arbuscula.kinds.weather import Row
from arbuscula.science.water.balance import after_step, usable_frac
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
REGROWS_H: Final = 45 * 24.0  # a trimmed crown is two thirds back after so long
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
        {name: array[..., places] for name, array in arrays_of(trees).items()},
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


def advance(trees: Trees, pull: Pull, unknown: Unknowns, until_h: int) -> None:
    """Carry the trees on to an hour, if nobody comes."""
    for hour, off in _hours(trees, unknown, until_h):
        trees.water = _after_hour(trees, pull, hour - pull.first_h, off)
        trees.cut_frac = trees.cut_frac * np.exp(-1 / REGROWS_H)
        trees.at_h = hour + 1


def _hours(trees: Trees, unknown: Unknowns, until_h: int) -> Iterator[tuple[int, Grid]]:
    """Yield each hour, and how far each day's demand is off, member by member."""
    for hour in range(trees.at_h, until_h):
        day = hour // DAY_H
        if trees.off is None or trees.off[0] != day:
            trees.off = day, day_ratio_of(trees, unknown, day)
        yield hour, trees.off[1]


def day_ratio_of(trees: Trees, unknown: Unknowns, day: int) -> Grid:
    """Return how far one day's demand is off: the bench's part and the tree's."""
    benches = sorted(set(trees.bench_keys))
    place = {key: n for n, key in enumerate(benches)}
    of_bench = normals_of([f"{b}\x1fday {day}" for b in benches], members_n=MEMBERS_N)
    of_tree = normals_of([f"{k}\x1fday {day}" for k in trees.keys], members_n=MEMBERS_N)
    columns = [place[key] for key in trees.bench_keys]
    return np.exp(
        unknown.day_bench_ln.value * of_bench[:, columns]
        + unknown.day_tree_ln.value * of_tree
    )


def _after_hour(trees: Trees, pull: Pull, hour: int, off: Grid) -> PotWater:
    """Return what each pot holds an hour later; who stands nowhere keeps it."""
    members, here = trees.members, trees.pair >= 0
    pair = np.where(here, trees.pair, 0)
    leaf_m2 = np.where(here, trees.leaf_m2 * (1 - trees.cut_frac), 0.0)
    surface_mm = np.where(here, pull.surface_mm[hour][:, pair], 0.0) * off
    after, _ = after_step(
        trees.water,
        members.ball,
        rain_mm=np.where(here, pull.rain_mm[hour][:, pair], 0.0),
        given_ml=0.0,
        leaf_ml=pull.leaf_ml_m2[hour][:, pair] * leaf_m2 * members.demand_ratio * off,
        surface_mm=surface_mm * members.surface_ratio,
        wall_ml=surface_mm * members.wall_ratio * trees.wall_cm2 / 10,
    )
    return after


def left_frac(trees: Trees) -> Grid:
    """Return what each member has left of its usable water."""
    return np.asarray(usable_frac(trees.water.water_ml, trees.members.ball))


def shares_of(trees: Trees) -> Grid:
    """Return the members' weights, each tree's adding up to one."""
    weight = np.exp(trees.weight_ln - trees.weight_ln.max(axis=0))
    return weight / weight.sum(axis=0)
