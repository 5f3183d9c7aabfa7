"""Years: the round year of one kind of tree on one bench, in many courses.

Courses are the first axis, days of a year of 365 the second.
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.library import Library
from arbuscula.kinds.species import Species
from arbuscula.kinds.technique import Habit
from arbuscula.kinds.world import Curve
from arbuscula.science.phase import (
    growing_warmth_c,
    growth_clock,
    light_share_frac,
    night_share_frac,
    phase_shares_frac,
)
from arbuscula.science.season import centred_mean_c

YEAR_D: Final = 365
FROST_C: Final = 0.0
NEVER_D: Final = 365.0
FIRST: Final = date(2025, 1, 1)  # of any year without a leap day


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchYear:
    """What a bench is like, day by day."""

    night_c: Curve  # the lowest of each day
    mean_c: Curve
    light_mol_m2_d: Curve
    chill_h: Curve  # hours of cold, each day
    daylight_h: Curve  # of the place; one course


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeYear:
    """How a kind of tree goes through the year there; smoothed over three weeks."""

    night_c: Curve
    mean_c: Curve
    light_mol_m2_d: Curve
    growth_c: Curve  # of each day, in the mean of the courses
    resting_frac: Curve  # of the courses, each day
    shares: Curve  # of the phases; one axis more
    left_frac: Curve  # of a year's growth, until it rests
    frost_free_d: Curve
    chill_h: Curve  # of the half year before


HALF_YEAR_D: Final = 182


def place_of(day: date) -> int:
    """Return a date's place in a year of 365; 29 February is the 28th."""
    day = day.replace(day=28) if (day.month, day.day) == (2, 29) else day
    return (day.replace(year=FIRST.year) - FIRST).days


def tree_year(
    bench: BenchYear, species: Species, habit: Habit, library: Library
) -> TreeYear:
    """Return how a species goes through the year of a bench."""
    window_d = 2 * (round(library.season.window_d.value) // 2) + 1
    night_c, mean_c, light = (
        round_mean(told, window_d)
        for told in (bench.night_c, bench.mean_c, bench.light_mol_m2_d)
    )
    rate_c = _rate_c(night_c, mean_c, light, bench.daylight_h, species, habit, library)
    clock = growth_clock(rate_c, idle_frac=library.care.idle_frac.value)
    year = np.maximum(clock.year_c_d, 1e-9)[..., None]
    shares = phase_shares_frac(clock, library.care)
    return TreeYear(
        night_c=night_c,
        mean_c=mean_c,
        light_mol_m2_d=light,
        growth_c=rate_c.mean(axis=0),
        resting_frac=shares[..., 0].mean(axis=0),
        shares=shares,
        left_frac=np.minimum(clock.left_c_d / year, 1.0),
        frost_free_d=days_until(bench.night_c < FROST_C),
        chill_h=_half_year_sum(bench.chill_h),
    )


def _rate_c(
    night_c: Curve,
    mean_c: Curve,
    light: Curve,
    daylight_h: Curve,
    species: Species,
    habit: Habit,
    library: Library,
) -> Curve:
    """Return how fast it grows, day by day."""
    care = library.care
    rate = np.asarray(
        growing_warmth_c(
            mean_c=mean_c,
            base_c=species.warmth.base_c.value,
            warmest_c=care.warmest_c.value,
        )
    ) * light_share_frac(
        light_mol_m2_d=light,
        hold_mol_m2_d=care.light_hold_mol_m2_d.value,
        enough_mol_m2_d=library.season.growing_light_mol_m2_d.value,
    )
    if habit.night_stops_c and habit.night_full_c:
        rate = rate * night_share_frac(
            night_c=night_c,
            stops_c=habit.night_stops_c.value,
            full_c=habit.night_full_c.value,
            least_frac=care.cool_night_frac.value,
        )
    if habit.daylight_least_h:
        rate = np.where(daylight_h >= habit.daylight_least_h.value, rate, 0.0)
    return np.asarray(rate)


def _half_year_sum(days: Curve) -> Curve:
    """Return the sum of the half year before each day of a round year."""
    summed = np.cumsum(np.concatenate([days, days], axis=-1), axis=-1)
    year_d = days.shape[-1]
    return summed[..., year_d:] - summed[..., year_d - HALF_YEAR_D : -HALF_YEAR_D]


def round_mean(days: Curve, window_d: int) -> Curve:
    """Return the mean of the days around each day of a round year."""
    half = window_d // 2
    longer = np.concatenate([days[..., -half:], days, days[..., :half]], axis=-1)
    return centred_mean_c(longer, window_d=window_d)


def days_until(which: NDArray[np.bool_]) -> Curve:
    """Return how many days it is from each day to the next such one."""
    twice = np.concatenate([which, which], axis=-1).astype(bool)
    places = np.arange(twice.shape[-1], dtype=np.float64)
    told = np.where(twice, places, np.inf)
    coming = np.minimum.accumulate(told[..., ::-1], axis=-1)[..., ::-1]
    return np.minimum((coming - places)[..., : which.shape[-1]], NEVER_D)


def growth_y(year: TreeYear, since: date, until: date) -> float:
    """Return how many usual years of growth lie between two dates."""
    daily = year.growth_c
    whole = float(daily.sum())
    days_n = (until - since).days
    if whole <= 0 or days_n <= 0:
        return 0.0
    years_n, rest_n = divmod(days_n, YEAR_D)
    first = place_of(since)
    rest = daily[(first + np.arange(rest_n)) % YEAR_D].sum()
    return years_n + float(rest) / whole


def cycle_since(year: TreeYear, on: date, cycle_frac: float) -> date:
    """Return when the growth before this one ended; jobs since then are of this one.

    Where it never rests, a good part of a year's growth is a cycle.
    """
    rests = year.resting_frac >= 1 / 2
    back = (place_of(on) - np.arange(YEAR_D)) % YEAR_D
    if rests.any() and not rests.all():
        at_rest = rests[back]
        first = int(at_rest.argmax())  # the last day of rest
        before = ~at_rest[first:]
        days_n = first + int(before.argmax()) if before.any() else YEAR_D
        return on - timedelta(days=days_n)
    daily = year.growth_c
    grown = np.cumsum(daily[back])
    enough = grown >= cycle_frac * daily.sum()
    return on - timedelta(days=int(enough.argmax()) + 1 if grown[-1] > 0 else YEAR_D)


def with_days(bench: BenchYear, first: date, days: BenchYear) -> BenchYear:
    """Return the year with some days as they were."""
    count_n = min(days.night_c.shape[-1], YEAR_D)
    places = (place_of(first) + np.arange(count_n)) % YEAR_D

    def told(year: Curve, some: Curve) -> Curve:
        new = np.array(year)
        new[..., places] = np.broadcast_to(
            some[..., :count_n], (*new.shape[:-1], count_n)
        )
        return new

    return replace(
        bench,
        night_c=told(bench.night_c, days.night_c),
        mean_c=told(bench.mean_c, days.mean_c),
        light_mol_m2_d=told(bench.light_mol_m2_d, days.light_mol_m2_d),
        chill_h=told(bench.chill_h, days.chill_h),
    )
