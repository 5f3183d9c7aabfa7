"""Outlook: when each tree will be due and late, if nobody comes."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from arbuscula.kinds.library import Unknowns
from arbuscula.kinds.water import PotWater
from arbuscula.kinds.weather import Row
from arbuscula.state.ensemble import TENTHS, Grid
from arbuscula.state.trees import Pull, Trees, advance, left_frac, shares_of, soaked

NEVER: Final = np.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """What share of its usable water each tree may go down to."""

    due_frac: Row
    late_frac: Row


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """When each member passes its lines, in hours since 1970; infinity: not yet."""

    at_h: int
    until_h: int
    due_h: Grid
    late_h: Grid
    left_frac: Grid  # now
    share: Grid  # the members' weights


def outlook(
    trees: Trees, pull: Pull, lines: Lines, unknown: Unknowns, *, until_h: int
) -> Outlook:
    """Carry the trees on to an hour and note when they pass their lines."""
    ahead = replace(trees)
    now_frac = left_frac(ahead)
    due_h = np.where(now_frac <= lines.due_frac, float(trees.at_h), NEVER)
    late_h = np.where(now_frac <= lines.late_frac, float(trees.at_h), NEVER)
    before = now_frac
    for hour, after in _hour_by_hour(ahead, pull, unknown, until_h):
        for passed_h, line in ((due_h, lines.due_frac), (late_h, lines.late_frac)):
            new = np.isinf(passed_h) & (after <= line)
            fall = np.maximum(before - after, 1e-12)
            passed_h[new] = (hour + (before - line) / fall)[new]
        before = after
    return Outlook(
        at_h=trees.at_h,
        until_h=until_h,
        due_h=due_h,
        late_h=late_h,
        left_frac=now_frac,
        share=shares_of(trees),
    )


def _hour_by_hour(
    trees: Trees, pull: Pull, unknown: Unknowns, until_h: int
) -> Iterator[tuple[int, Grid]]:
    for hour in range(trees.at_h, until_h):
        advance(trees, pull, unknown, hour + 1)
        yield hour, left_frac(trees)


def once_soaked(trees: Trees) -> Trees:
    """Return the same trees, watered until it ran."""
    water = PotWater(
        water_ml=np.array(trees.water.water_ml),
        surface_depletion_mm=np.array(trees.water.surface_depletion_mm),
        canopy_ml=np.array(trees.water.canopy_ml),
    )
    wet = replace(trees, water=water)
    every = np.arange(len(trees.keys))
    soaked(wet, every, np.full(every.size, np.inf))
    return wet


def chance_before(passed_h: Grid, share: Grid, until_h: float) -> Row:
    """Return how likely each tree passes a line before an hour."""
    return np.sum(share * (passed_h < until_h), axis=0)


def tenths_h(passed_h: Grid, share: Grid) -> Grid:
    """Return three hours for each tree: one in ten, half, nine in ten are before."""
    order = np.argsort(passed_h, axis=0)
    sorted_h = np.take_along_axis(passed_h, order, axis=0)
    summed = np.cumsum(np.take_along_axis(share, order, axis=0), axis=0)
    places = [np.minimum(np.sum(summed < q, axis=0), len(summed) - 1) for q in TENTHS]
    columns = np.arange(passed_h.shape[1])
    return np.stack([sorted_h[place, columns] for place in places])
