"""Outlook: when each tree will be due and late, if nobody comes."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from arbuscula.kinds.library import Unknowns
from arbuscula.kinds.water import PotWater
from arbuscula.kinds.weather import Row
from arbuscula.science.water.lanes import Carry, carried
from arbuscula.state.ensemble import TENTHS, Grid
from arbuscula.state.trees import (
    Pull,
    Trees,
    left_frac,
    passings,
    shares_of,
    soaked,
)

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
    trees: Trees,
    pull: Pull,
    lines: Lines,
    unknown: Unknowns,
    *,
    until_h: int,
    carry: Carry = carried,
) -> Outlook:
    """Carry the trees on to an hour and note when they pass their lines."""
    ahead = replace(trees)
    now_frac = left_frac(ahead)
    line_frac = np.stack([lines.due_frac, lines.late_frac])
    below = now_frac <= line_frac[:, np.newaxis]
    passed_h = np.where(below, float(trees.at_h), NEVER)
    for later_h in passings(ahead, pull, unknown, until_h, line_frac, carry=carry):
        passed_h = np.where(np.isinf(passed_h), later_h, passed_h)
    return Outlook(
        at_h=trees.at_h,
        until_h=until_h,
        due_h=passed_h[0],
        late_h=passed_h[1],
        left_frac=now_frac,
        share=shares_of(trees),
    )


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
