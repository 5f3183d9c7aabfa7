"""Bilderback, Fonteno (1987), J. Environ. Hort. 5:180: one medium, two pots.

Read as an abstract. Two data and two fitted numbers, heights assumed: this says
that one curve can serve both pots, no more.
"""

import pytest

from arbuscula.science import container
from tests.media import PINE_BARK_TYPE, straight_pot

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("height_cm", "water_pct", "air_pct"), [(15.2, 43, 28), (5.0, 59, 12)]
)
def test_one_curve_serves_a_can_and_a_cell(height_cm, water_pct, air_pct):
    """Printed to 1 %."""
    pot = straight_pot(height_cm)
    held_frac = container.container_capacity_frac(PINE_BARK_TYPE, pot)
    assert 100 * held_frac == pytest.approx(water_pct, abs=0.5)
    assert 100 * container.air_frac(PINE_BARK_TYPE, pot) == pytest.approx(
        air_pct, abs=0.5
    )
