"""Windows: growth, nights and light of some places, counted in generated years.

Places are the first axes; one place has none.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

import numpy as np

from arbuscula.kinds.season import SeasonFigures
from arbuscula.kinds.species import Warmth
from arbuscula.kinds.world import Curve, Normals, Place
from arbuscula.science.air import air_pressure_kpa, mean_saturation_vapour_pressure_kpa
from arbuscula.science.evaporation import (
    net_longwave_mj_m2_d,
    net_shortwave_mj_m2_d,
    reference_evapotranspiration_mm_d,
    soil_heat_mj_m2_d,
)
from arbuscula.science.light import sun_light_mol_m2_d
from arbuscula.science.season import (
    FIRST_OF_JULY_N,
    Stretch,
    centred_mean_c,
    is_growing,
    last_cold_d,
    stretch_around,
    thermal_season,
    turning_day_n,
    weekly_cold_frac,
)
from arbuscula.science.sun import (
    SUNRISE_HORIZON_DEG,
    clear_sky_transmission_frac,
    daylight_h,
    sun_position,
    sunset_angle_rad,
)
from arbuscula.state.ensemble import TENTHS
from arbuscula.units import DAY_S
from arbuscula.weather.generator import nights_and_days
from arbuscula.weather.normals import by_day
from arbuscula.weather.world import World
from arbuscula.weather.year import DAYS_N, DAYS_OF_YEAR_N, month_means

FIRST: Final = date(2025, 1, 1)  # of any year without a leap day
SLOPE_D: Final = 5  # on either side of a date
LEAST_WARMING_K: Final = 1e-3  # in these days
SEED_PARTS_N: Final = 1e4  # of a degree; places in the same part have the same weather


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthsOf:
    """What the months of some places are like."""

    night_min_c: Curve
    day_max_c: Curve
    daylength_h: Curve  # from rim to rim of the sun
    dli_mol_m2_d: Curve  # in the open
    et0_mm_d: Curve


@dataclass(frozen=True, slots=True, kw_only=True)
class Windows:
    """When it grows and may stand outside, at some places."""

    growing_frac: Curve  # share of years, by day
    growing: Stretch  # in one, five and nine years of ten
    practice: Stretch
    practice_off_d: Curve  # as far as the error of the usual nights moves it
    weekly_frac: Curve
    risk: Stretch  # in weeks
    last_cold_n: Curve  # a day, early, usual and late; NaN: none
    thermal_d: Curve  # the thermometer's season of the middle year; NaN: no end


def months_of(months: Normals) -> MonthsOf:
    """Return light, warmth and a lawn's evaporation, from monthly normals."""
    sunset_rad = sunset_angle_rad(
        latitude_deg=np.asarray(months.latitude_deg)[..., None],
        declination_rad=_declination_rad(),
        horizon_deg=SUNRISE_HORIZON_DEG,
    )
    return MonthsOf(
        night_min_c=months.night_min_c,
        day_max_c=months.day_max_c,
        daylength_h=month_means(np.asarray(daylight_h(sunset_rad))),
        dli_mol_m2_d=np.asarray(sun_light_mol_m2_d(months.shortwave_mj_m2_d)),
        et0_mm_d=_lawn_mm_d(months),
    )


def _declination_rad() -> Curve:
    """Return how far north the sun stands, day by day: its height over the pole.

    The plain formula of daily sums is a degree off in October, which is eight
    minutes of daylight at 45 degrees.
    """
    noon_s = (np.datetime64(FIRST, "s").astype(float)) + (
        DAYS_OF_YEAR_N - 1 / 2
    ) * DAY_S
    over_pole = sun_position(unix_s=noon_s, latitude_deg=90.0, longitude_deg=0.0)
    return np.radians(over_pole.elevation_deg)


def _lawn_mm_d(months: Normals) -> Curve:
    """Return a lawn's daily water by month; dew counts as none."""
    height_m = np.asarray(months.elevation_m)[..., None]
    full_kpa = mean_saturation_vapour_pressure_kpa(
        day_high_c=months.day_max_c, night_low_c=months.night_min_c
    )
    clear_frac = months.clearness_frac / clear_sky_transmission_frac(height_m)
    glow = net_longwave_mj_m2_d(
        day_high_c=months.day_max_c,
        night_low_c=months.night_min_c,
        vapour_pressure_kpa=months.vapour_pressure_kpa,
        relative_shortwave_frac=clear_frac,
    )
    mean_c = months.air_temperature_c
    lawn_mm_d = reference_evapotranspiration_mm_d(
        air_temperature_c=mean_c,
        wind_speed_2m_m_s=months.wind_speed_2m_m_s,
        vapour_deficit_kpa=np.maximum(full_kpa - months.vapour_pressure_kpa, 0),
        net_radiation_mj_m2_d=net_shortwave_mj_m2_d(months.shortwave_mj_m2_d) - glow,
        air_pressure_kpa=air_pressure_kpa(height_m),
        soil_heat_mj_m2_d=soil_heat_mj_m2_d(
            month_c=mean_c,
            month_before_c=np.roll(mean_c, 1, axis=-1),
            month_after_c=np.roll(mean_c, -1, axis=-1),
        ),
    )
    return np.maximum(lawn_mm_d, 0)


def windows_of(
    months: Normals,
    world: World,
    *,
    warmth: Warmth,
    figures: SeasonFigures,
    places: Sequence[Place],
    years_n: int,
) -> Windows:
    """Return what is counted in so many years of weather at some places."""
    usual = by_day(months)
    half_d = int(figures.window_d.value) // 2
    night_c, day_c = nights_and_days(
        usual,
        world.figures.generator,
        rng=np.random.default_rng(_seed(places)),
        members_n=years_n,
        first=FIRST - timedelta(days=half_d),
        days_n=DAYS_N + 2 * half_d,
    )
    mean_c = night_c + world.figures.normals.mean_over_min_frac.value * (
        day_c - night_c
    )
    this_year = slice(half_d, half_d + DAYS_N)
    floor_c = warmth.warn_below_c.value
    grown = is_growing(
        mean_c=centred_mean_c(mean_c, window_d=2 * half_d + 1),
        base_c=warmth.base_c.value,
        light_mol_m2_d=sun_light_mol_m2_d(usual.shortwave_mj_m2_d),
        enough_mol_m2_d=figures.growing_light_mol_m2_d.value,
    )
    growing_frac = grown.mean(axis=0)
    practice = _practice(usual, floor_c)
    weekly_frac = weekly_cold_frac(night_c[..., this_year], floor_c=floor_c)
    return Windows(
        growing_frac=growing_frac,
        growing=stretch_around(
            growing_frac[..., None, :] >= np.array(TENTHS)[:, None],
            middle_n=usual.air_temperature_c.argmax(axis=-1)[..., None],
        ),
        practice=practice,
        practice_off_d=_off_d(usual, practice),
        weekly_frac=weekly_frac,
        risk=stretch_around(
            weekly_frac <= figures.accepted_frac.value,
            middle_n=weekly_frac.argmin(axis=-1),
        ),
        last_cold_n=_last_cold_n(night_c[..., this_year], usual, floor_c),
        thermal_d=_thermal_d(mean_c[..., this_year], usual),
    )


def _seed(places: Sequence[Place]) -> list[int]:
    """Return a seed that hangs on the places alone."""
    return [
        round(deg * SEED_PARTS_N)
        for place in places
        for deg in (place.latitude_deg + 90, place.longitude_deg + 180)
    ]


def _practice(usual: Normals, floor_c: float) -> Stretch:
    nights_c = usual.night_min_c
    return stretch_around(nights_c >= floor_c, middle_n=nights_c.argmax(axis=-1))


def _off_d(usual: Normals, practice: Stretch) -> Curve:
    """Return how many days the usual nights' own error is worth in spring."""
    at = practice.first_n[..., None] + np.array([-SLOPE_D, SLOPE_D])
    early_c, late_c = np.moveaxis(
        np.take_along_axis(usual.night_min_c, at % DAYS_N, axis=-1), -1, 0
    )
    warming_k = np.maximum(late_c - early_c, LEAST_WARMING_K)
    return usual.error.night_min_k * 2 * SLOPE_D / warming_k


def _last_cold_n(night_c: Curve, usual: Normals, floor_c: float) -> Curve:
    """Return the day of the last night below the floor before the warmest one."""
    warmest_n = usual.night_min_c.argmax(axis=-1)
    back_d = last_cold_d(night_c, floor_c=floor_c, before_n=warmest_n)
    # the earliest is the furthest back
    ahead_d = np.moveaxis(
        np.quantile(-back_d, TENTHS, axis=0, method="inverted_cdf"), 0, -1
    )
    there = np.isfinite(ahead_d)
    day_n = warmest_n[..., None] + np.where(there, ahead_d, 0)
    return np.where(there, day_n % DAYS_N, np.nan)


def _thermal_d(mean_c: Curve, usual: Normals) -> Curve:
    """Return how long the middle year is warm; a southern one begins in July."""
    southern = np.asarray(usual.latitude_deg) < 0
    from_july_c = np.roll(mean_c, 1 - FIRST_OF_JULY_N, axis=-1)
    north_n, south_n = (
        turning_day_n(year_d=DAYS_N, is_southern=is_southern)
        for is_southern in (False, True)
    )
    years = thermal_season(
        np.where(southern[..., None], from_july_c, mean_c),
        turning_n=np.where(southern, south_n, north_n),
    )
    ends = years.has_end.mean(axis=0) > 1 / 2
    return np.where(ends, np.median(years.length_d, axis=0), np.nan)
