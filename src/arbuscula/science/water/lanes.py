"""Lanes: many pots side by side, carried through hours under their skies.

The joint at which a compiled kernel may stand in: whatever carries lanes takes
the same and returns the same.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.water import Ball, PotWater
from arbuscula.science.water.balance import dried, terms_of, usable_frac, wetted

REGROWS_H: Final = 45 * 24.0  # a trimmed crown is two thirds back after so long
CUT_KEPT_RATIO: Final = float(np.exp(-1 / REGROWS_H))  # of what is cut, in an hour
SMALLEST_FALL_FRAC: Final = 1e-12
Grid = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lanes:
    """Pots side by side, members first, and how much more than usual each asks."""

    ball: Ball
    water: PotWater
    leaf_m2: Grid  # once a tree
    cut_frac: Grid  # of the leaves, not yet grown again; once a tree
    wall_cm2: Grid  # once a tree
    demand_ratio: Grid
    surface_ratio: Grid
    wall_ratio: Grid
    day_ratio: Grid  # over all three
    sky: NDArray[np.int64]  # whose hours each tree feels; -1: it stands nowhere


@dataclass(frozen=True, slots=True, kw_only=True)
class Skies:
    """What is asked by the hour: hours first, members (or one for all), skies."""

    leaf_ml_m2: Grid
    surface_mm: Grid
    rain_mm: Grid


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What lanes hold after their hours, and when they passed the lines."""

    water: PotWater
    cut_frac: Grid
    passed_h: Grid  # lines, members, trees; hours from the first; infinite: not


class Carry(Protocol):
    """Whatever carries lanes through hours."""

    def __call__(self, lanes: Lanes, skies: Skies, line_frac: Grid) -> Carried:
        """Return them after the hours; lines are shares of usable water, by trees."""
        ...


def carried(lanes: Lanes, skies: Skies, line_frac: Grid) -> Carried:
    """Return lanes after all hours of their skies, and when each passed its lines.

    Within an hour the fall is taken as even. Already below: at once.

    Shape: lines first, and trees second, in `line_frac`; none at all will do.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: hours; leaves that hold no more than their store at the start.
    Source: mass, hour by hour in `balance`; what is cut grows back as it decays.
    """
    water, cut_frac, terms = lanes.water, lanes.cut_frac, terms_of(lanes.ball)
    passed_h = np.full((*line_frac.shape[:1], *np.shape(water.water_ml)), np.inf)
    before_frac = usable_frac(water.water_ml, lanes.ball)
    for hour, (leaf_ml_m2, surface_mm, rain_mm) in enumerate(_felt(lanes, skies)):
        if np.any(rain_mm):
            water, _, _ = wetted(water, terms, rain_mm=rain_mm, given_ml=0.0)
        leaf_m2 = lanes.leaf_m2 * (1 - cut_frac)
        water, _ = dried(
            water,
            terms,
            leaf_ml=leaf_ml_m2 * leaf_m2 * lanes.demand_ratio,
            surface_mm=surface_mm * lanes.surface_ratio,
            wall_ml=surface_mm * lanes.wall_ratio * lanes.wall_cm2 / 10,
        )
        cut_frac = cut_frac * CUT_KEPT_RATIO
        if line_frac.size:
            after_frac = usable_frac(water.water_ml, lanes.ball)
            fall_frac = np.maximum(before_frac - after_frac, SMALLEST_FALL_FRAC)
            for line, at_h in zip(line_frac, passed_h, strict=True):
                new = np.isinf(at_h) & (after_frac <= line)
                above_frac = np.maximum(before_frac - line, 0.0)
                at_h[new] = (hour + above_frac / fall_frac)[new]
            before_frac = after_frac
    return Carried(water=water, cut_frac=cut_frac, passed_h=passed_h)


def _felt(lanes: Lanes, skies: Skies) -> Iterator[tuple[Grid, Grid, Grid]]:
    """Yield what each hour asks of each lane; nothing of who stands nowhere."""
    here = lanes.sky >= 0
    sky = np.where(here, lanes.sky, 0)
    for hour in range(skies.rain_mm.shape[0]):
        leaf_ml_m2 = np.where(here, skies.leaf_ml_m2[hour][:, sky], 0.0)
        surface_mm = np.where(here, skies.surface_mm[hour][:, sky], 0.0)
        rain_mm = np.where(here, skies.rain_mm[hour][:, sky], 0.0)
        yield leaf_ml_m2 * lanes.day_ratio, surface_mm * lanes.day_ratio, rain_mm
