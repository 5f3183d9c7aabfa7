"""EN 1991-1-4 with its German annex: pressures of the four wind zones."""

import pytest

from arbuscula.science.toppling import wind_pressure_kpa

pytestmark = [pytest.mark.published, pytest.mark.recalled]


@pytest.mark.parametrize(
    ("wind_m_s", "printed_kpa"),
    [(22.5, 0.32), (25.0, 0.39), (27.5, 0.47), (30.0, 0.56)],
)
def test_basic_pressures_of_the_wind_zones(wind_m_s, printed_kpa):
    """Table NA.A.1. It prints two decimals, hence a tolerance of 0.006."""
    assert wind_pressure_kpa(wind_m_s) == pytest.approx(printed_kpa, abs=0.006)
