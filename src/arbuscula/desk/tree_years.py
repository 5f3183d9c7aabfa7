"""Tree years: how a kind of tree goes through the year on a bench of a yard.

Days that are behind us are those that were observed; the coming ones are those of
the place's years, so that a forecast opens no window: it may only close one.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from typing import Final

import numpy as np

from arbuscula.desk import Desk
from arbuscula.desk.bench_climate import spot_of
from arbuscula.kinds.place import Bench, Exposure, Yard
from arbuscula.kinds.technique import Habit
from arbuscula.kinds.weather import Spot, WeatherRows
from arbuscula.kinds.world import Curve
from arbuscula.microclimate.shelter import rows_on_bench
from arbuscula.science.light import sun_light_mol_m2_d
from arbuscula.science.phase import chill_h
from arbuscula.science.sun import (
    SUNRISE_HORIZON_DEG,
    daylight_h,
    declination_rad,
    sunset_angle_rad,
)
from arbuscula.state.years import FIRST, BenchYear, TreeYear, tree_year, with_days
from arbuscula.units import DAY_H, mj_m2_d_from_w_m2
from arbuscula.weather.compose import yard_weather
from arbuscula.weather.usual import usual_weather
from arbuscula.weather.year import DAYS_N, DAYS_OF_YEAR_N

COURSES_N: Final = 20
BACK_D: Final = 75  # of observed weather
AHEAD_D: Final = 7
SOON_D: Final = 3  # nights of which the coldest counts
COLD_NIGHT_FRAC: Final = 0.1  # of the courses, as of the alarm


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """The nights to come on a bench."""

    night_c: float  # mean of the lows, in the middle course
    coldest_c: float  # one course in ten falls to it


@dataclass(slots=True, kw_only=True)
class Years:
    """Years of a yard's benches on a date, each worked out when first asked for."""

    desk: Desk
    key: str
    yard: Yard
    on: date
    past_d: int  # days before it that lie behind us
    spot: Spot
    usual: WeatherRows
    around: WeatherRows  # some days back and ahead
    benches: dict[Bench, tuple[BenchYear, Ahead]] = field(default_factory=dict)
    trees: dict[tuple[Bench, str], TreeYear] = field(default_factory=dict)


def years_on(desk: Desk, key: str, yard: Yard, on: date) -> Years:
    """Return the years of a yard, with the weather around a date."""
    spot = spot_of(desk, yard)
    noon = datetime.combine(on, time(), tzinfo=UTC)
    from_s = (noon - timedelta(days=BACK_D)).timestamp()
    until_s = (noon + timedelta(days=AHEAD_D)).timestamp()
    around = yard_weather(
        desk.archive(),
        key,
        from_s,
        until_s,
        as_of_s=desk.clock().timestamp(),
        fill=usual_weather(desk.world(), spot),
        members_n=COURSES_N,
    )
    to_come_d = max((on - desk.clock().astimezone(UTC).date()).days, 0)
    return Years(
        desk=desk,
        key=key,
        yard=yard,
        on=on,
        past_d=max(BACK_D - to_come_d, 0),
        spot=spot,
        usual=usual_year(desk, spot),
        around=around.rows,
    )


def usual_year(desk: Desk, spot: Spot) -> WeatherRows:
    """Return one round year of a place in many courses."""
    begins = datetime.combine(FIRST, time(), tzinfo=UTC)
    ends = begins + timedelta(days=DAYS_N)
    fill = usual_weather(desk.world(), spot)
    return fill(begins.timestamp(), ends.timestamp(), None, COURSES_N)


def year_on_bench(years: Years, bench: Bench) -> tuple[BenchYear, Ahead]:
    """Return a bench's year, and the nights to come on it."""
    if bench not in years.benches:
        usual = bench_year(years.desk, years.usual, bench, years.spot)
        around = bench_year(years.desk, years.around, bench, years.spot)
        past = _first_days(around, years.past_d)
        first = years.on - timedelta(days=BACK_D)
        told = with_days(usual, first, past)
        years.benches[bench] = told, _ahead(around.night_c[..., BACK_D:])
    return years.benches[bench]


def year_of(years: Years, bench: Bench, species: str, habit: Habit) -> TreeYear:
    """Return how a species goes through the year on a bench."""
    if (bench, species) not in years.trees:
        library = years.desk.library()
        of_bench, _ = year_on_bench(years, bench)
        kind = library.species[species]
        years.trees[bench, species] = tree_year(of_bench, kind, habit, library)
    return years.trees[bench, species]


def bench_year(desk: Desk, rows: WeatherRows, bench: Bench, spot: Spot) -> BenchYear:
    """Return what a bench makes of hourly weather, day by day."""
    shelter = desk.library().shelters[bench.exposure]
    here = rows_on_bench(rows, bench, shelter, spot)
    below_c = desk.library().care.chill_below_c.value
    air_c = _by_day(here.air_temperature_c)
    mean_w_m2 = _by_day(here.shortwave_w_m2).mean(axis=-1)
    sunset_rad = sunset_angle_rad(
        latitude_deg=spot.latitude_deg,
        declination_rad=declination_rad(DAYS_OF_YEAR_N),
        horizon_deg=SUNRISE_HORIZON_DEG,
    )
    return BenchYear(
        night_c=air_c.min(axis=-1),
        mean_c=air_c.mean(axis=-1),
        light_mol_m2_d=np.asarray(sun_light_mol_m2_d(mj_m2_d_from_w_m2(mean_w_m2))),
        chill_h=np.asarray(chill_h(air_c, below_c=below_c)),
        daylight_h=np.asarray(daylight_h(sunset_rad)),
    )


def _by_day(hours: Curve) -> Curve:
    """Return hours as days of hours, courses first."""
    each = np.atleast_2d(hours)
    each = (
        np.broadcast_to(each, (COURSES_N, each.shape[-1])) if len(each) == 1 else each
    )
    return np.asarray(each.reshape(len(each), -1, DAY_H))


def _first_days(year: BenchYear, days_n: int) -> BenchYear:
    return BenchYear(
        night_c=year.night_c[..., :days_n],
        mean_c=year.mean_c[..., :days_n],
        light_mol_m2_d=year.light_mol_m2_d[..., :days_n],
        chill_h=year.chill_h[..., :days_n],
        daylight_h=year.daylight_h,
    )


def _ahead(night_c: Curve) -> Ahead:
    soon_c = night_c[..., :SOON_D]
    return Ahead(
        night_c=float(np.median(night_c.mean(axis=-1))),
        coldest_c=float(np.quantile(soon_c.min(axis=-1), COLD_NIGHT_FRAC)),
    )


def open_air(bench: Bench) -> Bench:
    """Return a place in the open of the same yard."""
    return Bench(yard=bench.yard, name="", exposure=Exposure.OPEN)


def group_of(species: str, groups: Sequence[tuple[str, tuple[str, ...]]]) -> str:
    """Return the name whose beginning of the key is the longest that fits."""
    fitting = [
        (len(start), name)
        for name, begins in groups
        for start in begins
        if species.startswith(start)
    ]
    return max(fitting)[1] if fitting else ""
