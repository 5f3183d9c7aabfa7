"""Beeson 2010, HortScience 45:1260, and 2012, 47:264: Viburnum in 11.4 L."""

import pytest

from arbuscula.units import ml_from_mm_cm2

pytestmark = pytest.mark.published


@pytest.mark.parametrize(("depth_mm", "printed_ml"), [(11.8, 600), (3.1, 160)])
def test_a_day_of_water_over_the_pot_top(depth_mm, printed_ml):
    """508 cm2 of top; the depths are rounded to 0.1 mm, hence 0.06 mm of water."""
    water_ml = ml_from_mm_cm2(depth_mm, 508)
    assert water_ml == pytest.approx(printed_ml, abs=ml_from_mm_cm2(0.06, 508))
