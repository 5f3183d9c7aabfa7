from dataclasses import replace

import numpy as np
import pytest

from arbuscula.kinds.values import Grade, Value
from arbuscula.science.water.stomata import warmth_response_frac
from arbuscula.state.ensemble import (
    MEMBERS_N,
    drawn,
    drawn_stomata,
    evenly,
    normals,
    spread_of,
)
from tests.state.made import LIBRARY


def a_value(value, low, high):
    return Value(value=value, low=low, high=high, source="x", grade=Grade.ASSUMED)


WIDE = a_value(20, 0, 60)


def test_draws_hang_on_their_key_alone():
    first = normals("fig", "demand")
    normals("fig", "something else")
    assert np.array_equal(first, normals("fig", "demand"))
    assert not np.array_equal(first, normals("fig", "surface"))


def test_draws_are_spread_evenly():
    z = normals("fig", "demand")
    assert z.mean() == pytest.approx(0, abs=1e-12)
    assert z.std() == pytest.approx(1, abs=0.02)  # 200 middles lack the far tails
    assert np.sort(evenly("a")) == pytest.approx(
        (np.arange(MEMBERS_N) + 0.5) / MEMBERS_N
    )


def test_a_range_is_one_in_twenty_either_way():
    made = drawn(a_value(0.09, 0.045, 0.18), normals("a"))
    assert np.mean(made < 0.045) == pytest.approx(0.05, abs=0.005)
    assert np.mean(made > 0.18) == pytest.approx(0.05, abs=0.005)
    assert np.median(made) == pytest.approx(0.09, rel=0.01)


def test_a_range_that_touches_nil_stays_within():
    made = drawn(a_value(0.05, 0.0, 0.15), normals("a"))
    assert made.min() == 0
    assert made.max() == 0.15


def test_a_range_of_nothing_stays_put():
    assert np.all(drawn(a_value(0.0, 0.0, 0.0), normals("a")) == 0)


def test_a_spread_is_in_order():
    said = spread_of(np.arange(101.0))
    assert (said.p10, said.p50, said.p90) == (10, 50, 90)


@pytest.mark.parametrize("key", LIBRARY.species)
def test_no_member_of_any_species_has_its_warmths_in_another_order(key):
    traits = LIBRARY.species[key].stomata
    drawn_ = drawn_stomata(traits, "leaf of", key)
    assert np.all(drawn_.coldest_c < drawn_.best_c)
    assert np.all(drawn_.best_c < drawn_.hottest_c)
    air_c = np.linspace(-20, 55, 76)
    opened = warmth_response_frac(drawn_, air_c)
    assert np.isfinite(opened).all()
    assert opened.max() <= 1 + 1e-12


def test_ranges_that_overlap_are_kept_apart():
    traits = replace(LIBRARY.species["ficus-microcarpa"].stomata, best_c=WIDE)
    drawn_ = drawn_stomata(traits, "leaf of", "wide")
    assert np.isfinite(warmth_response_frac(drawn_, np.linspace(-20, 60, 81))).all()
