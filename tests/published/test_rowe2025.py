"""Rowe (2025), PLoS ONE 20(2):e0318716: drainage layers in pots.

Read: almost every layer lowered the water held by loam-free media and almost
none raised it. Volume per cent and millilitres are both asked: the first may
rise (the extension services' point) while the second falls (the paper's).
"""

import pytest

from arbuscula.kinds.pot import Pot
from arbuscula.science import container, retention
from tests.media import COMPOSTED_BARK, IDEAL, PINE_BARK_TYPE

pytestmark = pytest.mark.published

POT = Pot(shape="round", diameter_mm=180, depth_mm=150, taper_frac=0.75)
ABOVE = container.above_layer(POT, layer_mm=20)
GRAVEL_ENTRY_CM = retention.air_entry_cm(8.0)
MEDIA = [IDEAL, COMPOSTED_BARK, PINE_BARK_TYPE]


@pytest.mark.parametrize("bottom_suction_cm", [0.0, GRAVEL_ENTRY_CM])
@pytest.mark.parametrize("curve", MEDIA)
def test_a_layer_lowers_the_water_of_the_pot(curve, bottom_suction_cm):
    layered_ml = container.capacity_ml(
        curve, ABOVE, bottom_suction_cm=bottom_suction_cm, roots_frac=0.1
    )
    assert layered_ml < 0.95 * container.capacity_ml(curve, POT, roots_frac=0.1)


@pytest.mark.parametrize("curve", MEDIA)
def test_over_a_wet_layer_the_soil_itself_is_wetter(curve):
    layered_frac = container.container_capacity_frac(curve, ABOVE)
    assert layered_frac > container.container_capacity_frac(curve, POT) + 0.005


@pytest.mark.parametrize("curve", MEDIA)
def test_a_layer_that_pulls_dries_the_soil_a_little(curve):
    wet_frac = container.container_capacity_frac(curve, ABOVE)
    pulled_frac = container.container_capacity_frac(
        curve, ABOVE, bottom_suction_cm=GRAVEL_ENTRY_CM
    )
    assert wet_frac - 0.05 < pulled_frac < wet_frac
