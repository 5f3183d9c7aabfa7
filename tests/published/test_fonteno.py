"""Fonteno's table of air in peat and vermiculite, by pot; from memory.

Values to 2 points, heights of fill assumed; one set of numbers fits all four.
"""

import pytest

from arbuscula.science import container
from tests.media import straight_pot, van_genuchten

pytestmark = [pytest.mark.published, pytest.mark.recalled]


@pytest.mark.parametrize(
    ("height_cm", "air_pct"), [(14, 20), (9.5, 13), (5.7, 8), (2.8, 3)]
)
def test_air_from_a_large_pot_to_a_plug(height_cm, air_pct):
    """One point: half of what the memory of the table is good for."""
    peat = van_genuchten(0.875, 0.15, 0.171, 1.685)
    found_frac = container.air_frac(peat, straight_pot(height_cm))
    assert 100 * found_frac == pytest.approx(air_pct, abs=1.0)
