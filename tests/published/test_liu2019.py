"""Probably Liu, Lennartz (2019), Hydrol. Process. 33, table 4: peat's curve.

Second-hand: seen in a code comment, the attribution is from memory.
"""

import pytest

from arbuscula.science import retention
from tests.substrates import library_substrates

pytestmark = pytest.mark.published


def pores_of_peat(organic_frac=0.95):
    curve = retention.peat_curve(
        bulk_density_g_cm3=0.10, organic_frac=organic_frac, depth_cm=10
    )
    return curve.parts[0]


def test_peat_of_a_tenth_of_a_gram():
    """Printed to .001."""
    pores = pores_of_peat()
    assert pores.volume_frac == pytest.approx(0.906, abs=0.0005)
    assert pores.alpha_per_cm == pytest.approx(0.147, abs=0.0005)
    assert pores.shape_n == pytest.approx(1.29, abs=0.001)


def test_alpha_falls_by_a_tenth_for_a_point_of_organic_matter():
    """Why the rule is trusted little. 10^-0.046 is 0.90."""
    ratio = pores_of_peat(0.96).alpha_per_cm / pores_of_peat(0.95).alpha_per_cm
    assert ratio == pytest.approx(0.90, abs=0.005)


def test_the_library_s_peat_is_that_one():
    """The library rounds to .001."""
    library = retention.substrate_curve(library_substrates()["peat"]).parts[0]
    pores = pores_of_peat()
    assert library.volume_frac == pytest.approx(pores.volume_frac, abs=0.0005)
    assert library.alpha_per_cm == pytest.approx(pores.alpha_per_cm, abs=0.0005)
    assert library.shape_n == pytest.approx(pores.shape_n, abs=0.001)
