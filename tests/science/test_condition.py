"""Roots, reserves and vigour: accounts of growth, not of days."""

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from arbuscula.science.reserves import reserves_frac
from arbuscula.science.roots import root_fill_frac
from arbuscula.science.vigour import standstill_frac
from tests.jobs import CARE, LIBRARY

MEASURE = {"error_mm": 0.5, "usual_mm": 2.0, "spread_mm": 2.0, "least_mm": 0.3}


def test_roots_fill_a_pot_in_one_to_three_years():
    """Practice, no source."""
    fills = LIBRARY.groups["tropical fig"].fills_y
    filled = CARE.filled_frac.value
    told = {"begun_frac": 0.0, "filled_frac": filled}
    assert root_fill_frac(growth_y=1.0, fills_y=fills.low, **told) == filled
    assert root_fill_frac(growth_y=3.0, fills_y=fills.high, **told) == filled
    assert (fills.low, fills.high) == (1, 3)


@given(st.floats(0, 1), st.floats(0, 9), st.floats(0, 9))
def test_roots_never_take_less_of_a_pot(begun, growth, more):
    told = {"begun_frac": begun, "fills_y": 2.0, "filled_frac": 0.85}
    now = root_fill_frac(growth_y=growth, **told)
    assert begun <= now <= root_fill_frac(growth_y=growth + more, **told) <= 1


def test_jobs_draw_and_growth_refills_but_never_above_full():
    left = reserves_frac(np.array([0.4, 0.4]), np.array([0.0, 0.0]), refill_y=0.6)
    assert left == pytest.approx(0.2)  # float width
    assert reserves_frac(np.array([0.4]), np.array([5.0]), refill_y=0.6) == 1
    assert reserves_frac(np.array([]), np.array([]), refill_y=0.6) == 1


@given(
    st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), max_size=6), st.floats(0, 1)
)
def test_one_more_draw_never_leaves_more(draws, draw):
    told = np.array(draws).reshape(-1, 2)
    more = np.vstack([[draw, 0.0], told])
    before = reserves_frac(told[:, 0], told[:, 1], refill_y=0.6)
    assert reserves_frac(more[:, 0], more[:, 1], refill_y=0.6) <= before


def test_few_measures_cannot_tell_many_can():
    """A trunk that does not grow is called so only once enough was measured."""
    chances = [
        standstill_frac(np.linspace(0, 1, n), np.full(n, 42.0), **MEASURE)
        for n in (2, 6, 24)
    ]
    assert chances == sorted(chances)
    assert (
        chances[0]
        < 0.8
        < standstill_frac(np.linspace(0, 2, 24), np.full(24, 42.0), **MEASURE)
    )


def test_a_trunk_that_grows_is_not_called_stalled():
    grown = np.linspace(0, 2, 12)
    assert standstill_frac(grown, 42 + 2 * grown, **MEASURE) < 0.01


def test_the_slope_is_that_of_the_conjugate_formula():
    """Two measures a year apart: precision 1/4 + 0.5/0.25, by hand."""
    chance = standstill_frac(np.array([0.0, 1.0]), np.array([40.0, 41.0]), **MEASURE)
    precision = 0.25 + 0.5 / 0.25
    mean = (0.5 + 0.5 * 1.0 / 0.25) / precision
    assert chance == pytest.approx(NormalDist(mean, precision**-0.5).cdf(0.3))
