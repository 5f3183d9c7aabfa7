import numpy as np
import pytest

from arbuscula.science.toppling import toppling_wind_m_s

TREE = {
    "mass_kg": 2.0,
    "half_foot_m": 0.08,
    "crown_m2": 0.1,
    "crown_height_m": 0.3,
    "drag_ratio": 0.5,
}


def test_the_moments_of_wind_and_weight_balance():
    """1/2 * 1.2 * 0.5 * 0.1 * v2 * 0.3 = 2 * 9.80665 * 0.08, by hand."""
    gust = toppling_wind_m_s(**TREE)
    assert gust == pytest.approx(13.203, abs=0.001)  # rounding of the hand
    push_nm = 0.5 * 1.2 * 0.5 * 0.1 * gust**2 * 0.3
    assert push_nm == pytest.approx(2.0 * 9.80665 * 0.08)


def test_four_times_the_weight_stands_twice_the_wind():
    heavy = toppling_wind_m_s(**{**TREE, "mass_kg": 8.0})
    assert heavy == pytest.approx(2 * toppling_wind_m_s(**TREE))


def test_what_has_no_crown_is_not_thrown_over():
    bare = toppling_wind_m_s(**{**TREE, "crown_m2": np.array([0.0, 0.1])})
    assert np.isinf(bare[0])
    assert bare[1] == toppling_wind_m_s(**TREE)
