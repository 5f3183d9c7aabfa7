"""Carsel, Parrish (1988), Water Resour. Res. 24:755: sand, seen quoted.

A soil, not a horticultural grade. The means are our own exact integral.
"""

import pytest

from arbuscula.science import container
from tests.media import straight_pot, van_genuchten

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("height_cm", "mean_frac"), [(5, 0.4067), (10, 0.3429), (15, 0.2865)]
)
def test_sand_in_a_column(height_cm, mean_frac):
    """Printed to .0001."""
    sand = van_genuchten(0.43, 0.045, 0.145, 2.68)
    found_frac = container.container_capacity_frac(sand, straight_pot(height_cm))
    assert found_frac == pytest.approx(mean_frac, abs=0.00005)
