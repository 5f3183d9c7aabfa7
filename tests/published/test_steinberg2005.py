"""Steinberg, Poritz (2005), J. Amer. Soc. Hort. Sci. 130:767: calcined clay.

Read as an abstract: wettable pores 65 %, two families that part at 36 to 39 %
of water, the change over 0 to 10 cm of suction at 1 to 2 mm and over 0 to 20 cm
at 0.25 to 1 mm. The air in trays is our own exact integral of the set fitted to
that; it is not akadama.
"""

import pytest

from arbuscula.science import container, retention
from tests.media import straight_pot, van_genuchten
from tests.substrates import library_substrates

pytestmark = pytest.mark.published

CLAY = library_substrates()["calcined-clay"]


@pytest.mark.parametrize(
    ("height_cm", "air_pct"),
    [(3, 0.6), (4, 2.2), (5, 4.5), (6, 7.1), (8, 11.3), (10, 14.3)],
)
def test_air_in_trays_of_1_to_2_mm(height_cm, air_pct):
    """Printed to .1 %, one of the six rounded the other way."""
    clay = van_genuchten(0.65, 0.375, 0.24, 5)
    found_frac = container.air_frac(clay, straight_pot(height_cm))
    assert 100 * found_frac == pytest.approx(air_pct, abs=0.1)


@pytest.mark.parametrize(("grain_mm", "drained_by_cm"), [(1.5, 10), (0.75, 20)])
def test_gaps_drain_where_the_abstract_says(grain_mm, drained_by_cm):
    """From 65 % to the break of 36 to 39 %, wherever the grains' size puts it.

    The coarse end of 0.25 to 1 mm is half of 1.5 mm, and so is its suction.
    """
    curve = retention.substrate_curve(CLAY, grain_mm=grain_mm)
    assert retention.saturated_frac(curve) == pytest.approx(0.65)
    assert 0.36 <= retention.water_frac(curve, drained_by_cm) <= 0.39


def test_bulk_density_is_the_abstract_s():
    assert CLAY.bulk_density_g_cm3.value == 0.64
