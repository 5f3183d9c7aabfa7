"""A pot tips when the wind's moment passes that of its weight."""

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
