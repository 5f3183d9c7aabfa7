"""Passioura (2006), Funct. Plant Biol. 33:1075: suction rises with height.

1 kPa for every 100 mm above the drainage hole. Suction is kept in centimetres
of water, so that the check is on what a thin layer at that height holds.
"""

import numpy as np
import pytest

from arbuscula.kinds.pot import Pot
from arbuscula.science import container, retention
from tests.media import IDEAL

pytestmark = pytest.mark.published

CM_PER_KPA = 1000 / 9.80665 / 10  # cm of water of 1 g/cm3 to a kilopascal


@pytest.mark.parametrize("height_mm", [0, 100, 200])
def test_a_thin_slice_rests_at_the_suction_of_its_height(height_mm):
    """A slice of 0.1 mm. 0.05 kPa, as printed, is 5 mm of suction."""
    pot = Pot(shape="round", diameter_mm=100, depth_mm=height_mm + 0.1)
    slice_above = container.above_layer(pot, layer_mm=height_mm)
    held_frac = container.container_capacity_frac(
        IDEAL, slice_above, bottom_suction_cm=height_mm / 10
    )
    suction_kpa = retention.suction_holding_cm(IDEAL, held_frac) / CM_PER_KPA
    assert suction_kpa == pytest.approx(height_mm / 100, abs=0.05)


def test_slices_add_up_to_the_pot():
    """The pot's mean is that of slices at rest at their own heights."""
    pot = Pot(shape="round", diameter_mm=100, depth_mm=200)
    middles_cm = (np.arange(2000) + 0.5) / 100
    mean_frac = retention.water_frac(IDEAL, middles_cm).mean()
    found_frac = container.container_capacity_frac(IDEAL, pot)
    assert found_frac == pytest.approx(mean_frac, abs=1e-6)  # of the slices' width
