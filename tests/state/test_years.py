"""Years: what a bench's year says of growth, its cycles and its dates."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from arbuscula.state.years import (
    BenchYear,
    cycle_since,
    days_until,
    growth_y,
    place_of,
    round_mean,
    tree_year,
    with_days,
)
from tests.jobs import LIBRARY

FIG = LIBRARY.species["ficus-microcarpa"]
HABIT = LIBRARY.groups["tropical fig"]
DAYS = np.arange(365)
SOME_DAYS = st.integers(0, 900)


def terrace(*, mean_c=12.0, swing_k=12.0, courses_n=2):
    """Return a year that is warmest in the middle of July."""
    wave = np.cos(2 * np.pi * (DAYS - 196) / 365)
    mean = np.tile(mean_c + swing_k * wave, (courses_n, 1))
    return BenchYear(
        night_c=mean - 5,
        mean_c=mean,
        light_mol_m2_d=np.full_like(mean, 20.0),
        chill_h=np.where(mean < 4.4, 24.0, 0.0),
        daylight_h=12 + 3 * wave,
    )


SEASONAL = tree_year(terrace(), FIG, HABIT, LIBRARY)
EVEN = tree_year(terrace(mean_c=27.0, swing_k=0.0), FIG, HABIT, LIBRARY)


def test_a_leap_day_is_the_day_before_it():
    assert place_of(date(2028, 2, 29)) == place_of(date(2028, 2, 28)) == 58
    assert place_of(date(2028, 12, 31)) == 364


def test_growth_is_counted_in_years_of_it_and_winter_adds_nothing():
    two = growth_y(SEASONAL, date(2026, 7, 1), date(2028, 7, 1))
    assert two == pytest.approx(2, abs=0.02)  # one day of summer, for the leap year
    assert growth_y(SEASONAL, date(2026, 12, 1), date(2027, 3, 1)) == 0
    half = growth_y(SEASONAL, date(2026, 7, 16), date(2027, 1, 1))
    assert half == pytest.approx(0.5, abs=0.02)  # even about its middle, but a day


@given(st.dates(date(2020, 1, 1), date(2030, 1, 1)), SOME_DAYS, SOME_DAYS)
def test_growth_of_two_stretches_adds_up(since, first_d, then_d):
    middle = since + timedelta(days=first_d)
    until = middle + timedelta(days=then_d)
    both = growth_y(SEASONAL, since, middle) + growth_y(SEASONAL, middle, until)
    whole = growth_y(SEASONAL, since, until)
    assert whole == pytest.approx(both, abs=0.05)  # leap days are told twice


@pytest.mark.parametrize(
    "on", [date(2026, 1, 20), date(2026, 6, 10), date(2026, 8, 30)]
)
def test_a_cycle_begins_when_the_growth_before_it_ended(on):
    """Work in a winter's rest belongs to the growth that follows."""
    since = cycle_since(SEASONAL, on, 0.75)
    assert date(2025, 9, 1) < since < date(2025, 12, 1)
    assert since == cycle_since(SEASONAL, date(2026, 7, 1), 0.75)


def test_without_a_rest_three_quarters_of_a_years_growth_are_a_cycle():
    on = date(2026, 6, 10)
    days = (on - cycle_since(EVEN, on, 0.75)).days
    assert days == pytest.approx(0.75 * 365, abs=1)  # whole days


def test_a_place_that_is_too_cold_grows_nothing_and_has_one_long_cycle():
    cold = tree_year(terrace(mean_c=0.0, swing_k=5.0), FIG, HABIT, LIBRARY)
    assert growth_y(cold, date(2020, 1, 1), date(2026, 1, 1)) == 0
    assert cold.shares[..., 0].min() == 1
    on = date(2026, 1, 1)
    assert (on - cycle_since(cold, on, 0.75)).days >= 365


def test_days_until_reach_across_the_new_year():
    which = np.zeros(365, bool)
    which[2] = True
    ahead = days_until(which)
    assert (ahead[2], ahead[0], ahead[364]) == (0, 2, 3)
    assert days_until(np.zeros(365, bool)).min() == 365


def test_days_that_were_observed_stand_in_the_year():
    year = terrace()
    cold = BenchYear(
        night_c=np.full((1, 30), -9.0),
        mean_c=np.full((1, 30), -9.0),
        light_mol_m2_d=np.full((1, 30), 1.0),
        chill_h=np.full((1, 30), 24.0),
        daylight_h=year.daylight_h,
    )
    told = with_days(year, date(2026, 12, 20), cold)
    for day in (date(2026, 12, 25), date(2027, 1, 10)):
        assert (told.night_c[:, place_of(day)] == -9).all()
    assert (told.night_c[:, 100] == year.night_c[:, 100]).all()


def test_a_mean_of_a_round_year_keeps_its_mean():
    days = np.random.default_rng(7).normal(size=(3, 365))
    assert round_mean(days, 21).mean() == pytest.approx(days.mean())  # float width


def test_a_mild_winter_counts_fewer_cold_hours():
    hard = tree_year(terrace(mean_c=8.0), FIG, HABIT, LIBRARY)
    mild = tree_year(terrace(mean_c=16.0), FIG, HABIT, LIBRARY)
    spring = place_of(date(2026, 3, 15))
    assert hard.chill_h[0, spring] > 1000 > mild.chill_h[0, spring]
