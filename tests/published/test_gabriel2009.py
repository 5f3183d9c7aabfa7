"""Gabriel, Altland, Owen (2009), HortScience 44:874: bark, peat and pumice.

Read as an abstract: pumice in bark lowers pores, capacity, available water and
buffer and raises the weight; peat raises pores, capacity and available water.
The library's curves, mixed, must turn the same way. Assumed: cores of 76 mm,
and available water as capacity less what 1000 cm of suction leaves.
"""

import pytest

from arbuscula.science import container, retention
from tests.media import straight_pot
from tests.substrates import library_substrates

pytestmark = pytest.mark.published

SUBSTRATES = library_substrates()
BARK = {"pine-bark": 1.0}
WITH_PUMICE = {"pine-bark": 0.7, "pumice": 0.3}
WITH_PEAT = {"pine-bark": 0.7, "peat": 0.3}


def capacity_frac(mix):
    curve = retention.mix_curve(mix, SUBSTRATES)
    return container.container_capacity_frac(curve, straight_pot(7.6))


def usable_ml(mix):
    curve = retention.mix_curve(mix, SUBSTRATES)
    pot = straight_pot(7.6)
    return container.usable_ml(curve, pot, stop_suction_cm=1000, roots_frac=0.1)


def shares(mix):
    return retention.pore_shares(retention.mix_curve(mix, SUBSTRATES))


def test_pumice_lowers_pores_and_water():
    assert shares(WITH_PUMICE).total_frac < shares(BARK).total_frac
    assert shares(WITH_PUMICE).buffer_frac < shares(BARK).buffer_frac
    assert capacity_frac(WITH_PUMICE) < capacity_frac(BARK)
    assert usable_ml(WITH_PUMICE) < usable_ml(BARK)


def test_pumice_raises_the_weight():
    with_pumice, bark = (
        retention.mix_density_g_cm3(mix, SUBSTRATES) for mix in (WITH_PUMICE, BARK)
    )
    assert with_pumice > bark


def test_peat_raises_pores_and_water():
    assert shares(WITH_PEAT).total_frac > shares(BARK).total_frac
    assert capacity_frac(WITH_PEAT) > capacity_frac(BARK)
    assert usable_ml(WITH_PEAT) > usable_ml(BARK)
