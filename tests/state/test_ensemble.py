import numpy as np
import pytest

from arbuscula.kinds.values import Grade, Value
from arbuscula.state.ensemble import MEMBERS_N, drawn, evenly, normals, spread_of


def a_value(value, low, high):
    return Value(value=value, low=low, high=high, source="x", grade=Grade.ASSUMED)


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
