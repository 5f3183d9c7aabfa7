"""Duffie and Beckman, Solar engineering of thermal processes, ch. 5.

Examples of glass (refraction 1.526), from memory; printed to two or three figures.
"""

import pytest

from arbuscula.science import glazing

pytestmark = [pytest.mark.published, pytest.mark.recalled]


def test_one_surface_straight_on():
    across, along = glazing.surface_reflected_frac(0.0)
    assert across == pytest.approx(0.0434, abs=5e-5)
    assert along == across


def test_one_surface_at_60_degrees():
    """0.185 and 0.001 for the two swings of light, 0.093 for both."""
    across, along = glazing.surface_reflected_frac(60.0)
    assert across == pytest.approx(0.185, abs=6e-4)
    assert along == pytest.approx(0.001, abs=5e-4)
    assert (across + along) / 2 == pytest.approx(0.093, abs=6e-4)


@pytest.mark.parametrize(("angle_deg", "printed"), [(0.0, 0.85), (60.0, 0.76)])
def test_two_panes_that_absorb_nothing(angle_deg, printed):
    told = glazing.unabsorbed_frac(incidence_deg=angle_deg, panes_n=2)
    assert told == pytest.approx(printed, abs=0.005)
