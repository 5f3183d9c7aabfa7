"""ETCCDI growing season length: runs of six days, above 5 degC and below 5 degC.

The series are made to hit the edges of the definition. Both ends are the first
day of their run, counted from one.
"""

import numpy as np
import pytest

from arbuscula.science.season import thermal_season, turning_day_n

pytestmark = pytest.mark.published


def year_c(outside_c, *segments, year_d=365):
    """Return a year of one warmth, but for some stretches of days."""
    year = np.full(year_d, float(outside_c))
    for first, last, warmth_c in segments:
        year[first - 1 : last] = warmth_c
    return year


def season_of(year, *, is_southern=False):
    turning = turning_day_n(year_d=year.size, is_southern=is_southern)
    return thermal_season(year, turning_n=turning)


def test_a_season_lies_between_two_runs():
    season = season_of(year_c(0, (100, 299, 10)))
    assert (season.start_n, season.end_n, season.length_d) == (100, 300, 200)
    assert season.has_end


def test_five_warm_days_are_no_start():
    season = season_of(year_c(0, (60, 64, 9), (100, 299, 10)))
    assert season.start_n == 100


def test_a_day_of_exactly_five_breaks_a_start():
    season = season_of(year_c(0, (100, 104, 6), (105, 105, 5), (106, 299, 6)))
    assert season.start_n == 106


def test_a_day_of_exactly_five_breaks_an_end():
    season = season_of(year_c(4, (100, 299, 10), (305, 305, 5)))
    assert season.end_n == 306


def test_cold_before_july_ends_nothing():
    season = season_of(year_c(0, (100, 149, 10), (160, 299, 10)))
    assert (season.start_n, season.end_n) == (100, 300)


def test_without_a_cold_run_the_years_end_stands_in_and_is_told():
    season = season_of(year_c(12))
    assert (season.start_n, season.end_n, season.length_d) == (1, 366, 365)
    assert not season.has_end


def test_the_first_of_july_of_a_common_and_of_a_leap_year():
    days = [turning_day_n(year_d=d, is_southern=False) for d in (365, 366)]
    assert days == [182, 183]


@pytest.mark.parametrize("year_d", [365, 366])
def test_a_southern_year_runs_from_july_and_may_end_from_january_on(year_d):
    from_july = np.arange("2023-07-01", "2024-07-01", dtype="datetime64[D]")
    turning = turning_day_n(year_d=year_d, is_southern=True)
    assert str(from_july[turning - 1]) == "2024-01-01"
    cold_before = season_of(year_c(10, (150, 170, 0)), is_southern=True)
    assert not cold_before.has_end
    cold_after = season_of(year_c(10, (150, 170, 0), (300, 320, 0)), is_southern=True)
    assert cold_after.end_n == 300


def test_a_year_without_warmth_has_no_season():
    """Not in the definition: a start that never comes is a gap, its length nil."""
    season = season_of(year_c(-3))
    assert np.isnan(season.start_n)
    assert np.isnan(season.end_n)
    assert season.length_d == 0


def test_many_places_are_each_as_alone():
    years = np.stack([year_c(0, (100, 299, 10)), year_c(12), year_c(-3)])
    together = season_of(years[0]), thermal_season(years, turning_n=182)
    assert together[1].length_d.tolist() == [200, 365, 0]
    assert together[1].start_n[0] == together[0].start_n
