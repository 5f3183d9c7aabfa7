"""Ponce-Lira et al. (2013), Acta Universitaria 23(4): scoria of Mexico.

Read: weight .87 to 1.33 g/cm3, pores 52.8 to 63.9 %, retention 5 to 25 % of the
volume. The library's lava takes the middles; how it dries is assumed, so that
the retention is asked of the curve.
"""

import pytest

from arbuscula.science import retention
from tests.substrates import library_substrates

pytestmark = pytest.mark.published

LAVA = library_substrates()["lava"]


def test_lava_retains_what_scoria_does():
    curve = retention.substrate_curve(LAVA)
    assert 0.528 <= retention.saturated_frac(curve) <= 0.639
    for suction_cm in (10, 100):
        assert 0.05 <= retention.water_frac(curve, suction_cm) <= 0.25


def test_lava_weighs_what_scoria_does():
    assert 0.87 <= LAVA.bulk_density_g_cm3.value <= 1.33
