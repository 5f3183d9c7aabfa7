"""Generator: possible weather of coming days, from the normals of a place.

Wet days follow each other by chance with a memory; how warm nights and days are
against the normal has a memory too; clearness, vapour and wind follow from
these. Every step keeps the monthly means. Inside, days are the first axis.
"""

from dataclasses import dataclass
from datetime import date
from typing import Final

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from arbuscula.kinds.world import (
    Curve,
    DailyWeather,
    GeneratorFigures,
    LastDay,
    Normals,
)
from arbuscula.science.air import saturation_vapour_pressure_kpa
from arbuscula.science.sun import extraterrestrial_mj_m2_d
from arbuscula.weather.normals import LEAST_VAPOUR_KPA
from arbuscula.weather.year import DAYS_OF_YEAR_N, day_before, days_of_year

WET_MM: Final = 1.0
LEAST_RANGE_K: Final = 0.5
CORRELATION: Final = (0.35, 0.78)  # of a day's low and high; few places lie outside

Wet = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Days:
    """What each day is usually like: (days, 1, places); the day before is the first."""

    night_min_c: Curve
    day_max_c: Curve
    wet_frac: Curve
    night_sd_k: Curve  # of dry and wet days by themselves
    day_sd_k: Curve
    whole_night_sd_k: Curve  # of all days together
    wet_night_k: Curve  # how much warmer than dry ones wet nights are
    wet_day_k: Curve
    correlation: Curve  # (1, places): of night and day


@dataclass(frozen=True, slots=True, kw_only=True)
class _Course:
    """One course of wetness and warmth for each member: (days, members, places)."""

    wet: Wet
    night: Curve  # departures in standard deviations
    day: Curve


def nights_and_days(
    normals: Normals,
    figures: GeneratorFigures,
    *,
    rng: Generator,
    members_n: int,
    first: date,
    days_n: int,
    after: LastDay | None = None,
) -> tuple[Curve, Curve]:
    """Return possible night minima and day maxima, and nothing else.

    Shape: (members, places, days); one place has no axis.
    Unit: degC. The normals are those of days.
    """
    days = _days(normals, figures, first, days_n)
    course = _course(days, figures, rng, members_n, after)
    night_min_c, day_max_c = _temperatures(days, course)
    return _days_last(night_min_c), _days_last(day_max_c)


def daily_weather(
    normals: Normals,
    figures: GeneratorFigures,
    *,
    rng: Generator,
    members_n: int,
    first: date,
    days_n: int,
    after: LastDay | None = None,
) -> DailyWeather:
    """Return possible weather from a day on, as many courses as members.

    With a last known day the courses go on from it: the first days lie near
    it, later ones forget it. The normals are those of days. The same seed
    gives the same temperatures as `nights_and_days`.

    Shape: (members, places, days); one place has no axis.
    """
    days = _days(normals, figures, first, days_n)
    course = _course(days, figures, rng, members_n, after)
    night_min_c, day_max_c = _temperatures(days, course)
    day = days_of_year(first, days_n)
    clearness = _clearness_frac(normals, figures, days, course, rng, day)
    above = extraterrestrial_mj_m2_d(
        latitude_deg=np.asarray(normals.latitude_deg),
        day_of_year_n=_over(DAYS_OF_YEAR_N, day, normals),
    )
    vapour_kpa = _vapour_kpa(normals, figures, days, night_min_c, day_max_c, rng, day)
    return DailyWeather(
        first=first,
        night_min_c=_days_last(night_min_c),
        day_max_c=_days_last(day_max_c),
        rain_mm=_days_last(_rain_mm(normals, figures, course, rng, day)),
        vapour_pressure_kpa=_days_last(vapour_kpa),
        wind_speed_2m_m_s=_days_last(_wind_m_s(normals, figures, course, rng, day)),
        shortwave_mj_m2_d=_days_last(clearness * above),
    )


def _days_last(days_first: Curve) -> Curve:
    return np.moveaxis(days_first, 0, -1)


def _over(year: Curve, day: NDArray[np.int64], normals: Normals) -> Curve:
    """Return a curve of the year on some days: (days, 1, places)."""
    chosen = np.moveaxis(year[..., day], -1, 0)
    places_n = np.ndim(normals.latitude_deg)
    return chosen.reshape(day.size, 1, *(chosen.shape[1:] or (1,) * places_n))


def _days(
    normals: Normals, figures: GeneratorFigures, first: date, days_n: int
) -> _Days:
    """Return the usual weather of the day before, and of all days."""
    day = days_of_year(day_before(first), days_n + 1)
    low, high, wet_frac, night_sd, day_sd = (
        _over(year, day, normals)
        for year in (
            normals.night_min_c,
            normals.day_max_c,
            normals.wet_frac,
            normals.night_min_sd_k,
            normals.day_max_sd_k,
        )
    )
    light = normals.shortwave_mj_m2_d / normals.clearness_frac
    sunny = np.clip((_over(light, day, normals) - 10) / 15, 0, 1)
    wet_night_k = figures.wet_night_warmer_frac.value * (high - low)
    wet_day_k = -figures.wet_day_cooler_frac.value * (high - low) * sunny
    mixed = wet_frac * (1 - wet_frac)
    return _Days(
        night_min_c=low,
        day_max_c=high,
        wet_frac=wet_frac,
        night_sd_k=_within_sd_k(night_sd, wet_night_k, mixed),
        day_sd_k=_within_sd_k(day_sd, wet_day_k, mixed),
        whole_night_sd_k=night_sd,
        wet_night_k=wet_night_k,
        wet_day_k=wet_day_k,
        correlation=_correlation(normals, figures),
    )


def _within_sd_k(whole_sd_k: Curve, wet_k: Curve, mixed: Curve) -> Curve:
    """Return the spread that is left when wet and dry days are parted."""
    left = whole_sd_k**2 - wet_k**2 * mixed
    return np.sqrt(np.maximum(left, 0.25 * whole_sd_k**2))


def _correlation(normals: Normals, figures: GeneratorFigures) -> Curve:
    """Return how a day's low and high go together, so that its range swings well."""
    low_sd, high_sd = normals.night_min_sd_k, normals.day_max_sd_k
    range_k = normals.day_max_c - normals.night_min_c
    range_sd = figures.range_sd_ratio.value * range_k
    together = (low_sd**2 + high_sd**2 - range_sd**2) / (2 * low_sd * high_sd)
    return np.clip(together.mean(axis=-1), *CORRELATION)[None]


def lag_matrices(same_day: Curve, next_day: Curve) -> tuple[Curve, Curve]:
    """Return what yesterday and chance give to today: A and B of x' = A x + B e.

    `same_day` holds correlations within a day, `next_day` those of today (rows)
    with yesterday (columns); axes before the last two are places.

    Source: richardson1981.
    """
    A: Curve = next_day @ np.linalg.inv(same_day)
    chance = same_day - A @ np.swapaxes(next_day, -1, -2)
    steady = chance + 1e-9 * np.eye(same_day.shape[-1])
    return A, np.linalg.cholesky(steady).astype(np.float64)


def _course(
    days: _Days,
    figures: GeneratorFigures,
    rng: Generator,
    members_n: int,
    after: LastDay | None,
) -> _Course:
    """Return how it goes, day after day, from the day before the first."""
    shape = (members_n, *days.wet_frac.shape[2:])
    wet = np.empty((len(days.wet_frac), *shape), bool)
    warmth = np.empty((len(days.wet_frac), 2, *shape))
    A, B = _lags(days.correlation, figures)
    wet[0], warmth[0] = _start(days, rng, shape, after)
    memory = figures.wet_persistence_frac.value
    after_dry = np.clip(days.wet_frac[1:] - memory * days.wet_frac[:-1], 0, 1)
    for t, wet_frac in enumerate(after_dry, start=1):
        wet[t] = rng.random(shape) < wet_frac + memory * wet[t - 1]
        chance = rng.standard_normal((2, *shape))
        warmth[t] = _mixed(A, warmth[t - 1]) + _mixed(B, chance)
    return _Course(wet=wet, night=warmth[:, 0], day=warmth[:, 1])


def _lags(correlation: Curve, figures: GeneratorFigures) -> tuple[Curve, Curve]:
    """Return the two matrices of night and day: (2, 2, 1, places)."""
    r, one = correlation[0], np.ones_like(correlation[0])
    lag = figures.lag_frac.value * one
    night, day = (
        figures.night_after_day_ratio.value,
        figures.day_after_night_ratio.value,
    )
    same_day = np.stack([one, r, r, one], -1).reshape(*r.shape, 2, 2)
    next_day = np.stack([lag, night * r, day * r, lag], -1).reshape(*r.shape, 2, 2)
    A, B = (
        np.ascontiguousarray(np.moveaxis(matrix, (-2, -1), (0, 1)))[:, :, None]
        for matrix in lag_matrices(same_day, next_day)
    )
    return A, B


def _mixed(matrix: Curve, pair: Curve) -> Curve:
    """Return matrices (2, 2, 1, places) times pairs (2, members, places)."""
    return np.einsum("ij...,j...->i...", matrix, pair)


def _start(
    days: _Days, rng: Generator, shape: tuple[int, ...], after: LastDay | None
) -> tuple[Wet, Curve]:
    """Return the day before the first: as known, or any usual one."""
    wet_frac, r = days.wet_frac[0], days.correlation
    if after is None:
        night, other = rng.standard_normal((2, *shape))
        day = r * night + np.sqrt(1 - r**2) * other
        return rng.random(shape) < wet_frac, np.stack([night, day])
    wet = np.broadcast_to(np.asarray(after.rain_mm) >= WET_MM, shape)
    off_night = after.night_min_c - days.night_min_c[0]
    off_day = after.day_max_c - days.day_max_c[0]
    night = (off_night - days.wet_night_k[0] * (wet - wet_frac)) / days.night_sd_k[0]
    day = (off_day - days.wet_day_k[0] * (wet - wet_frac)) / days.day_sd_k[0]
    return wet, np.stack([night, day])


def _temperatures(days: _Days, course: _Course) -> tuple[Curve, Curve]:
    """Return night minima and day maxima; a day is never colder than its night.

    What the least range lifts is taken out of the mean beforehand.
    """
    low_c, high_c = days.night_min_c[1:], days.day_max_c[1:] - _lift_k(days)[1:]
    night_min_c = _by_wetness(low_c, days.wet_night_k[1:], days, course)
    night_min_c += days.night_sd_k[1:] * course.night[1:]
    day_max_c = _by_wetness(high_c, days.wet_day_k[1:], days, course)
    day_max_c += days.day_sd_k[1:] * course.day[1:]
    return night_min_c, np.maximum(day_max_c, night_min_c + LEAST_RANGE_K)


def _by_wetness(mean_c: Curve, wet_k: Curve, days: _Days, course: _Course) -> Curve:
    """Return the mean of wet or of dry days, whose mean is the given one."""
    dry_c = mean_c - wet_k * days.wet_frac[1:]
    return np.where(course.wet[1:], dry_c + wet_k, dry_c)


def _lift_k(days: _Days) -> Curve:
    """Return how much a floor under the daily range would lift its mean."""
    low, high, r = days.night_sd_k, days.day_sd_k, days.correlation
    spread = np.sqrt(low**2 + high**2 - 2 * r * low * high)
    short = (LEAST_RANGE_K - (days.day_max_c - days.night_min_c)) / spread
    density = np.exp(-(short**2) / 2) / np.sqrt(2 * np.pi)
    return spread * (density + short * _chance_below(short))


def _chance_below(z: Curve) -> Curve:
    """Return a logistic curve within 0.01 of the normal distribution."""
    return 1 / (1 + np.exp(-1.702 * z))


def _z_of(chance: Curve) -> Curve:
    return np.log(chance / (1 - chance)) / 1.702


def _rain_mm(
    normals: Normals,
    figures: GeneratorFigures,
    course: _Course,
    rng: Generator,
    day: NDArray[np.int64],
) -> Curve:
    """Return rain: on wet days a millimetre and a skewed amount."""
    wet = course.wet[1:]
    excess_mm = _over(normals.rain_mm_d / normals.wet_frac, day, normals) - WET_MM
    shape = figures.wet_amount_shape_n.value
    scale = np.broadcast_to(np.maximum(excess_mm, 0) / shape, wet.shape)[wet]
    rain_mm = np.zeros(wet.shape)
    rain_mm[wet] = WET_MM + rng.standard_gamma(shape, scale.size) * scale
    return rain_mm


def _clearness_frac(
    normals: Normals,
    figures: GeneratorFigures,
    days: _Days,
    course: _Course,
    rng: Generator,
    day: NDArray[np.int64],
) -> Curve:
    """Return clearness: lower on wet days, higher where the range is wide."""
    least, most = figures.clearness_least_frac.value, figures.clearness_most_frac.value
    mean = np.clip(
        _over(normals.clearness_frac, day, normals), least + 0.02, most - 0.02
    )
    wet, wet_frac, r = course.wet[1:], days.wet_frac[1:], days.correlation
    lost = wet_frac * (1 - figures.clearness_wet_over_dry_frac.value)
    dry_mean = np.minimum(mean / (1 - lost), most - 0.02)
    wet_mean = (mean - (1 - wet_frac) * dry_mean) / wet_frac
    wet_mean = np.clip(wet_mean, least + 0.01, most - 0.01)
    spread = figures.clearness_spread_n.value
    middle = [
        np.sqrt(1 + spread**2) * _z_of((m - least) / (most - least))
        for m in (wet_mean, dry_mean)
    ]
    link = figures.clearness_with_range_frac.value
    wide = (course.day[1:] - course.night[1:]) / np.sqrt(2 * (1 - r))
    z = link * wide + np.sqrt(1 - link**2) * rng.standard_normal(wet.shape)
    return least + (most - least) * _chance_below(np.where(wet, *middle) + spread * z)


def _vapour_kpa(
    normals: Normals,
    figures: GeneratorFigures,
    days: _Days,
    night_min_c: Curve,
    day_max_c: Curve,
    rng: Generator,
    day: NDArray[np.int64],
) -> Curve:
    """Return vapour pressure: it follows the night, and never passes saturation."""
    usual_c = days.night_min_c[1:]
    per_k = (
        figures.vapour_with_night_frac.value * 17.27 * 237.3 / (usual_c + 237.3) ** 2
    )
    noise = figures.vapour_noise_ln.value
    ln = per_k * (night_min_c - usual_c)
    ln += noise * rng.standard_normal(night_min_c.shape)
    ln -= ((per_k * days.whole_night_sd_k[1:]) ** 2 + noise**2) / 2
    vapour_kpa = _over(normals.vapour_pressure_kpa, day, normals) * np.exp(ln)
    full_kpa = saturation_vapour_pressure_kpa((night_min_c + day_max_c) / 2)
    return np.clip(vapour_kpa, LEAST_VAPOUR_KPA, full_kpa)


def _wind_m_s(
    normals: Normals,
    figures: GeneratorFigures,
    course: _Course,
    rng: Generator,
    day: NDArray[np.int64],
) -> Curve:
    """Return wind: windy days follow each other."""
    lag, noise = figures.wind_lag_frac.value, figures.wind_noise_ln.value
    z = rng.standard_normal((day.size, *course.wet.shape[1:]))
    for t in range(1, day.size):
        z[t] = lag * z[t - 1] + np.sqrt(1 - lag**2) * z[t]
    usual = _over(normals.wind_speed_2m_m_s, day, normals)
    return usual * np.exp(noise * z - noise**2 / 2)
