"""ASHRAE Handbook of Fundamentals 2005, ch. 31: glass by the angle of the sun.

Single clear glass of 1/8 inch, transmittance of the sun at 0, 40, 50, 60, 70, 80
degrees and from the whole hemisphere, as read in an excerpt. That of two such
panes is from memory.
"""

import numpy as np
import pytest

from arbuscula.science.glazing import diffuse_transmitted_frac, transmitted_frac
from tests.state.made import LIBRARY

pytestmark = pytest.mark.published

ANGLES_DEG = np.array([0.0, 40, 50, 60, 70, 80])
SINGLE = [0.83, 0.82, 0.80, 0.75, 0.64, 0.39]
DOUBLE = [0.70, 0.68, 0.65, 0.58, 0.44, 0.21]


def test_one_clear_pane_by_angle():
    """0.015: print rounding, and a glass whose spectrum is not even."""
    told = transmitted_frac(incidence_deg=ANGLES_DEG, normal_frac=0.83, panes_n=1)
    assert told == pytest.approx(SINGLE, abs=0.015)


def test_one_clear_pane_from_everywhere():
    told = diffuse_transmitted_frac(normal_frac=0.83, panes_n=1)
    assert told == pytest.approx(0.75, abs=0.01)


def test_what_one_pane_throws_back():
    """Reflectance .08 .08 .10 .14 .25 .51; here what is neither passed nor held.

    The table's absorptance is .09 .10 .10 .11 .11 .11; 0.02 for both roundings.
    """
    absorbed = np.array([0.09, 0.10, 0.10, 0.11, 0.11, 0.11])
    told = transmitted_frac(incidence_deg=ANGLES_DEG, normal_frac=0.83, panes_n=1)
    back = 1 - told - absorbed
    assert back == pytest.approx([0.08, 0.08, 0.10, 0.14, 0.25, 0.51], abs=0.02)


@pytest.mark.recalled
def test_two_clear_panes_by_angle():
    """0.04: in the book a pane's own spectrum is kept from one to the next."""
    told = transmitted_frac(incidence_deg=ANGLES_DEG, normal_frac=0.70, panes_n=2)
    assert told == pytest.approx(DOUBLE, abs=0.04)


@pytest.mark.recalled
def test_two_clear_panes_from_everywhere():
    told = diffuse_transmitted_frac(normal_frac=0.70, panes_n=2)
    assert told == pytest.approx(0.60, abs=0.02)


@pytest.mark.parametrize(
    ("glazing", "visible"),
    [("single", 0.90), ("double", 0.81), ("double-low-e", 0.72), ("tinted", 0.56)],
)
def test_the_librarys_panes_hold_what_a_maker_prints(glazing, visible):
    """ppgsheet: a window maker's sheet of single, clear, coated and grey glass."""
    told = LIBRARY.glazings[glazing].visible_frac
    assert told.low <= visible <= told.high
