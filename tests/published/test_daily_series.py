"""Measured daily weather in packages: aquacrop (MIT), pcse (EUPL), vega_datasets (BSD).

`own`: the generator fed with a station's own monthly normals, 400 years.
docs/world.md shows all figures.
"""

from datetime import date
from functools import cache

import numpy as np
import pytest

from arbuscula.weather.generator import daily_weather
from arbuscula.weather.normals import by_day, normals_at
from scripts import daily_series
from tests.world import FIGURES, WORLD

pytestmark = pytest.mark.published

LONG = ["Uccle", "Tunis", "Champion", "Wageningen"]
ALL = [*LONG, "Hyderabad", "Seattle"]


def measured(name):
    try:
        return daily_series.series(name)
    except ModuleNotFoundError as missing:
        pytest.skip(f"NOT RUN: the package {missing} is not installed")


def own_normals(station):
    table = normals_at(
        WORLD,
        latitude_deg=station.latitude_deg,
        longitude_deg=station.longitude_deg,
        elevation_m=station.elevation_m,
    )
    return daily_series.normals_of(station, table)


@cache
def own(name):
    return daily_weather(
        by_day(own_normals(measured(name))),
        FIGURES,
        rng=np.random.default_rng(1),
        members_n=400,
        first=date(2025, 1, 1),
        days_n=365,
    )


@pytest.mark.parametrize("name", ALL)
def test_the_spread_from_day_to_day_is_the_stations(name):
    """Fed with it by month; 3 % are lost and won by the smooth curve."""
    station, made = measured(name), own(name)
    for seen, drawn in (
        (station.night_min_c, made.night_min_c),
        (station.day_max_c, made.day_max_c),
    ):
        spread_k = daily_series.monthly_sd(seen).mean()
        drawn_k = daily_series.monthly_sd(drawn).mean()
        assert drawn_k == pytest.approx(spread_k, rel=0.03)


@pytest.mark.parametrize("name", ALL)
def test_what_is_left_of_warmth_on_the_next_day(name):
    """One figure for all places; stations lie from 0.57 to 0.76 around it."""
    station = measured(name)
    for days in (station.night_min_c, station.day_max_c):
        left = daily_series.lag_one(days)
        assert left == pytest.approx(FIGURES.lag_frac.value, abs=0.12)


@pytest.mark.parametrize("name", ALL)
def test_wet_days_and_dry_spells_are_the_stations(name):
    """Wet days are fed in; spells come from one memory for all places, to 15 %."""
    station, made = measured(name), own(name)
    wet = np.nanmean(station.rain_mm >= 1)
    assert (made.rain_mm >= 1).mean() == pytest.approx(wet, abs=0.01)
    spell_d = daily_series.dry_spells_d(station.rain_mm).mean()
    drawn_d = daily_series.dry_spells_d(made.rain_mm).mean()
    assert drawn_d == pytest.approx(spell_d, rel=0.15)


@pytest.mark.parametrize("name", LONG)
def test_cold_nights_come_as_often_in_every_week(name):
    """Nights under 10 degC a week: 0.3 of a night is noise of twenty years."""
    station, made = measured(name), own(name)
    seen = daily_series.cold_nights_by_week(station.night_min_c)
    drawn = daily_series.cold_nights_by_week(made.night_min_c)
    assert 7 * np.abs(seen - drawn).mean() < 0.3


@pytest.mark.parametrize(
    ("name", "crossing_n", "last_night_n"),
    [("Uccle", 149, 197), ("Tunis", 99, 130), ("Wageningen", 164, 205)],
)
def test_the_mean_date_is_weeks_before_the_last_cold_night(
    name, crossing_n, last_night_n
):
    """Days of the year, worked once from the same series. Search ends on 31 July.

    The crossing hangs on how a year is smoothed and on the years taken, hence four
    days; the median of twenty years on their number, hence six.
    """
    station, made = measured(name), own(name)
    usual = by_day(own_normals(station)).night_min_c
    assert np.argmax(usual >= 10) + 1 == pytest.approx(crossing_n, abs=4)
    for nights in (station.night_min_c, made.night_min_c):
        last_n = np.median(daily_series.last_cold_night(nights))
        assert last_n == pytest.approx(last_night_n, abs=6)
        assert last_n > crossing_n + 28
