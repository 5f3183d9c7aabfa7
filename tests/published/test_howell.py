"""Configuration factors of an element and a rectangle, as catalogued by Howell.

From memory: the square at its own side's distance; exact by its closed form.
"""

import numpy as np
import pytest

from arbuscula.science.sky import Opening, opening_frac

pytestmark = [pytest.mark.published, pytest.mark.recalled]


def test_a_square_over_its_corner_at_the_distance_of_its_side():
    """(2 / 2 pi) (1 / sqrt 2) atan(1 / sqrt 2) = 0.1385, to the digits printed."""
    square = Opening(left_m=0, right_m=1, bottom_m=0, top_m=1, distance_m=1)
    assert opening_frac(square) == pytest.approx(0.1385, abs=5e-5)


def test_four_of_them_around_the_middle():
    square = Opening(left_m=-1, right_m=1, bottom_m=-1, top_m=1, distance_m=1)
    assert opening_frac(square) == pytest.approx(4 * 0.1385, abs=2e-4)


def test_a_strip_without_ends_is_half_the_sine_of_its_angle():
    """The string rule: (sin of the upper edge's angle) / 2."""
    strip = Opening(left_m=-1e4, right_m=1e4, bottom_m=0, top_m=1, distance_m=2)
    half_sine = np.sin(np.arctan(1 / 2)) / 2
    assert opening_frac(strip) == pytest.approx(half_sine, abs=1e-6)
