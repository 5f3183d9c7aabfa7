import numpy as np
import pytest

from arbuscula.science.season import (
    centred_mean_c,
    is_growing,
    last_cold_d,
    stretch_around,
    weekly_cold_frac,
)


def test_it_grows_where_three_weeks_are_warm_and_light_suffices():
    """Our own rule, a guard: base 13 degC, light as given."""
    grows = is_growing(
        mean_c=np.array([12.9, 13.0, 18.0, 18.0]),
        base_c=13.0,
        light_mol_m2_d=np.array([10.0, 10.0, 6.0, 5.9]),
        enough_mol_m2_d=6.0,
    )
    assert grows.tolist() == [False, True, True, False]


def test_the_base_is_the_readers_to_choose():
    assert is_growing(mean_c=12.0, base_c=10.0, light_mol_m2_d=9.0, enough_mol_m2_d=6.0)
    assert not is_growing(
        mean_c=12.0, base_c=15.0, light_mol_m2_d=9.0, enough_mol_m2_d=6.0
    )


def test_a_day_stands_in_the_middle_of_its_mean():
    days_c = np.zeros(61)
    days_c[30] = 21.0
    mean_c = centred_mean_c(days_c, window_d=21)
    assert mean_c.size == 41
    assert np.flatnonzero(mean_c > 0.5).tolist() == [*range(10, 31)]
    assert mean_c[20] == pytest.approx(1.0)


def test_a_steady_warmth_is_its_own_mean():
    assert centred_mean_c(np.full(40, 13.0), window_d=21).tolist() == [13.0] * 20


def test_a_night_at_the_floor_is_no_cold_night():
    """Practice, no source: figs stay out while nights are at or above 10 degC."""
    nights_c = np.full((1, 365), 12.0)
    nights_c[0, 0], nights_c[0, 7] = 9.9, 10.0
    weekly = weekly_cold_frac(nights_c, floor_c=10.0)
    assert weekly[:2].tolist() == [1, 0]


def test_week_k_holds_days_7k_less_6_to_7k_and_the_last_one_the_years_end():
    for day, week in ((1, 1), (7, 1), (8, 2), (357, 51), (358, 52), (365, 52)):
        nights_c = np.full((1, 365), 12.0)
        nights_c[0, day - 1] = 3.0
        cold = np.flatnonzero(weekly_cold_frac(nights_c, floor_c=10.0))
        assert cold.tolist() == [week - 1]


def test_a_weeks_risk_is_the_share_of_years_with_any_cold_night():
    nights_c = np.full((4, 365), 12.0)
    nights_c[0, 14:18] = 5.0  # four cold nights of one year count once
    nights_c[1, 20] = 5.0
    assert weekly_cold_frac(nights_c, floor_c=10.0)[2] == 0.5


def test_the_last_cold_night_is_looked_for_backwards_around_the_new_year():
    nights_c = np.full((3, 365), 12.0)
    nights_c[0, 360] = nights_c[0, 340] = 5.0
    nights_c[1, 10] = 5.0
    back_d = last_cold_d(nights_c, floor_c=10.0, before_n=np.array(10))
    assert back_d.tolist() == [15, 0, np.inf]


def around(inside, middle):
    found = stretch_around(np.array(inside, bool), middle_n=np.array(middle))
    return int(found.first_n), int(found.lasts_n)


@pytest.mark.parametrize(
    ("inside", "middle", "found"),
    [
        ([0, 1, 1, 1, 0, 1], 2, (1, 3)),
        ([1, 1, 0, 0, 1, 1], 0, (4, 4)),  # across the new year
        ([1, 1, 0, 0, 1, 1], 5, (4, 4)),
        ([0, 1, 0, 0, 1, 1], 1, (1, 1)),
        ([0, 0, 0, 0, 0, 1], 2, (2, 0)),  # none there
    ],
)
def test_a_stretch_reaches_as_far_as_it_is_unbroken(inside, middle, found):
    assert around(inside, middle) == found


def test_a_whole_year_lasts_a_year():
    assert around([1] * 6, 4)[1] == 6


def test_places_are_each_as_alone():
    inside = np.array([[0, 1, 1, 0], [1, 0, 0, 1], [0, 0, 0, 0]], bool)
    found = stretch_around(inside, middle_n=np.array([1, 3, 2]))
    assert found.first_n[:2].tolist() == [1, 3]
    assert found.lasts_n.tolist() == [2, 2, 0]
