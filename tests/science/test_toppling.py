"""A pot tips when the wind's moment passes that of its weight."""

import numpy as np
import pytest

from arbuscula.science.toppling import tipping_wind_m_s, wind_pressure_kpa


def test_at_the_tipping_wind_both_moments_are_even():
    said = {"crown_m2": 0.12, "crown_height_m": 0.45, "drag_ratio": 0.5}
    wind = tipping_wind_m_s(mass_kg=3.0, half_foot_m=0.075, **said)
    force_n = 1000 * wind_pressure_kpa(wind) * 0.5 * 0.12
    assert force_n * 0.45 == pytest.approx(3.0 * 9.80665 * 0.075)


def test_a_usual_tree_falls_in_a_gale_and_not_in_a_breeze():
    """A fig of 50 cm in a 1.5 L oval: practice, no source, says a strong wind."""
    wind = tipping_wind_m_s(
        mass_kg=2.5,
        half_foot_m=0.075,
        crown_m2=0.14,
        crown_height_m=0.38,
        drag_ratio=0.5,
    )
    assert 6 < wind < 20


TREE = {
    "mass_kg": 2.0,
    "half_foot_m": 0.08,
    "crown_m2": 0.1,
    "crown_height_m": 0.3,
    "drag_ratio": 0.5,
}


def test_the_tipping_wind_by_hand():
    """1/2 * 1.25 * 0.5 * 0.1 * v2 * 0.3 = 2 * 9.80665 * 0.08, by hand."""
    gust = tipping_wind_m_s(**TREE)
    assert gust == pytest.approx(12.937, abs=0.001)  # rounding of the hand


def test_four_times_the_weight_stands_twice_the_wind():
    heavy = tipping_wind_m_s(**{**TREE, "mass_kg": 8.0})
    assert heavy == pytest.approx(2 * tipping_wind_m_s(**TREE))


def test_what_has_no_crown_is_not_thrown_over():
    bare = tipping_wind_m_s(**{**TREE, "crown_m2": np.array([0.0, 0.1])})
    assert np.isinf(bare[0])
    assert bare[1] == tipping_wind_m_s(**TREE)
