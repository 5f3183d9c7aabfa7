"""Water in a pot through time: forcing, steps, and the members' course."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.leaf import CrownAir
from arbuscula.kinds.library import Library
from arbuscula.kinds.values import Num
from arbuscula.kinds.water import Ball, PotWater
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.science.water.balance import after_step
from arbuscula.science.water.demand import crown_demand_ml_h, open_surface_demand_mm_h
from arbuscula.state.ensemble import drawn_stomata, evenly, middle_optics
from arbuscula.state.pots import Members, PottedTree, crown_of
from arbuscula.units import HOUR_S

Grid = NDArray[np.float64]  # members by time


@dataclass(frozen=True, slots=True, kw_only=True)
class Forcing:
    """What sky, leaves and air ask of the pot: sums from the first row on.

    One number more than rows; between two of them a row's rate holds, so that
    any two moments cut out their own amount.
    """

    at_s: Row
    rain_mm: Row
    leaf_ml: Grid
    surface_mm: Row


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """The same, cut into steps at the moments that matter."""

    bounds_s: Row
    rain_mm: Row
    leaf_ml: Grid
    surface_mm: Row
    given_ml: Row  # infinite: soaked until it ran


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What each member holds at each bound, and what it lost in each step.

    Lost is the fall of the pot's mass with what was given added back: rain
    counts against it, water that ran out of a soak does not count.
    """

    water_ml: Grid
    canopy_ml: Grid
    lost_ml: Grid
    last: PotWater


def forcing_of(
    tree: PottedTree, rows: WeatherRows, air: CrownAir, library: Library
) -> Forcing:
    """Return what this tree is asked for, member by member."""
    crown, optics = crown_of(tree, library), middle_optics(library.demand.optics)
    stomata = drawn_stomata(tree.species.stomata, "leaf of", tree.species.latin)
    lasts_h = (rows.until_s - rows.from_s) / HOUR_S
    leaf_ml_h = crown_demand_ml_h(crown, stomata, optics, air)
    surface_mm_h = open_surface_demand_mm_h(crown, optics, air)
    return Forcing(
        at_s=np.append(rows.from_s, rows.until_s[-1]),
        rain_mm=_summed(rows.rain_mm),
        leaf_ml=_summed(leaf_ml_h * lasts_h),
        surface_mm=_summed(surface_mm_h * lasts_h),
    )


def _summed(amounts: Num) -> Grid:
    rows = np.asarray(amounts)
    start = np.zeros((*rows.shape[:-1], 1))
    return np.concatenate([start, np.cumsum(rows, axis=-1)], axis=-1)


def steps_of(forcing: Forcing, bounds_s: Row, given_ml: Mapping[float, float]) -> Steps:
    """Return the amounts between these bounds; water given at a bound is its step's."""
    return Steps(
        bounds_s=bounds_s,
        rain_mm=_between(forcing.at_s, forcing.rain_mm, bounds_s),
        leaf_ml=_between(forcing.at_s, forcing.leaf_ml, bounds_s),
        surface_mm=_between(forcing.at_s, forcing.surface_mm, bounds_s),
        given_ml=np.array([given_ml.get(at, 0.0) for at in bounds_s[:-1].tolist()]),
    )


def rain_between_mm(forcing: Forcing, bounds_s: Row) -> Row:
    """Return the rain that falls between these moments."""
    return _between(forcing.at_s, forcing.rain_mm, bounds_s)


def _between(at_s: Row, summed: Grid, bounds_s: Row) -> Grid:
    """Return what falls between bounds, out of sums that grow evenly in a row."""
    row = np.clip(np.searchsorted(at_s, bounds_s, side="right") - 1, 0, at_s.size - 2)
    share = (bounds_s - at_s[row]) / (at_s[row + 1] - at_s[row])
    at_bounds = summed[..., row] * (1 - share) + summed[..., row + 1] * share
    return np.diff(at_bounds, axis=-1)


def bounds_between(from_s: float, until_s: float, *moments: Row) -> Row:
    """Return whole hours counted from the start, and these moments between."""
    hours = np.arange(from_s, until_s, HOUR_S)
    within = [m[(m >= from_s) & (m <= until_s)] for m in moments]
    return np.unique(np.concatenate([hours, [from_s, until_s], *within]))


def course_of(
    members: Members,
    steps: Steps,
    start: PotWater,
    *,
    wall_cm2: float,
    day_ratio: Grid | None = None,
    weighed_g: Row | None = None,
) -> Course:
    """Return the members' course through the steps.

    A weighing at a bound sets each member's water to what the scale leaves
    after pot, soil and tree; what it held just before stands in the course.
    """
    leaf_ml = steps.leaf_ml * members.demand_ratio[:, np.newaxis]
    surface_mm = steps.surface_mm * members.surface_ratio[:, np.newaxis]
    wall_ml = steps.surface_mm * members.wall_ratio[:, np.newaxis] * wall_cm2 / 10
    if day_ratio is not None:
        leaf_ml, surface_mm = leaf_ml * day_ratio, surface_mm * day_ratio
        wall_ml = wall_ml * day_ratio
    held, canopy = [start.water_ml], [start.canopy_ml]
    lost: list[Num] = []
    water = start
    for k, given_ml in enumerate(steps.given_ml.tolist()):
        if weighed_g is not None and np.isfinite(weighed_g[k]):
            water = weighed(water, members, float(weighed_g[k]))
        before_ml = water.water_ml + water.canopy_ml
        water, passed = after_step(
            water,
            members.ball,
            rain_mm=steps.rain_mm[k],
            given_ml=given_ml,
            leaf_ml=leaf_ml[:, k],
            surface_mm=surface_mm[:, k],
            wall_ml=wall_ml[:, k],
        )
        kept_ml = passed.gained_ml if np.isinf(given_ml) else given_ml
        held.append(water.water_ml)
        canopy.append(water.canopy_ml)
        lost.append(before_ml - water.water_ml - water.canopy_ml + kept_ml)
    return Course(
        water_ml=np.stack(held, axis=-1),
        canopy_ml=np.stack(canopy, axis=-1),
        lost_ml=np.stack(lost, axis=-1) if lost else np.zeros((leaf_ml.shape[0], 0)),
        last=water,
    )


def weighed(water: PotWater, members: Members, mass_g: float) -> PotWater:
    """Return each member's water as a scale tells it."""
    told_ml = mass_g - members.dry_g - water.canopy_ml
    return PotWater(
        water_ml=np.clip(told_ml, 0.0, members.ball.capacity_ml),
        surface_depletion_mm=water.surface_depletion_mm,
        canopy_ml=water.canopy_ml,
    )


def unknown_start(ball: Ball, *key: str) -> PotWater:
    """Return a pot of which nobody knows how wet it is."""
    share = evenly(*key, "start")
    usable_ml = ball.capacity_ml - ball.stop_ml
    return PotWater(
        water_ml=ball.stop_ml + share * usable_ml,
        surface_depletion_mm=(1 - share) * ball.stage_2_mm,
        canopy_ml=np.zeros_like(share),
    )
