"""Faust and Logan 2018, HortScience 53:1250: daylight to light sums."""

import pytest

from arbuscula.science import light

pytestmark = pytest.mark.published

DAY_MJ_M2 = 5.0 * 3.6  # five kilowatt-hours


def test_a_summer_day_of_5_kwh():
    """0.007265 mol/Wh gives 36.3 mol; three figures."""
    assert light.sun_light_mol_m2_d(DAY_MJ_M2) == pytest.approx(36.3, rel=0.001)


def test_a_megajoule():
    """2.018 mol/MJ, which is 0.007265 mol/Wh to 0.1 %."""
    assert light.sun_light_mol_m2_d(1.0) == pytest.approx(2.018, rel=0.001)


@pytest.mark.parametrize(
    ("other_mol_m2_d", "who"),
    [(35.3, "a conference abstract, 7.058 mol/kWh"), (36.7, "Meek 1984, 2.04 mol/MJ")],
)
def test_other_factors_lie_within_the_stated_spread(other_mol_m2_d, who):
    """docs/sun-and-light.md tells the grower 3 %."""
    ours = light.sun_light_mol_m2_d(DAY_MJ_M2)
    assert ours == pytest.approx(other_mol_m2_d, rel=0.03), who


@pytest.mark.parametrize(
    ("photons_umol_j", "within"),
    [(4.48, 0.002), (4.57, 0.03)],
    ids=["their own", "Thimijan and Heins 1983, as cited"],
)
def test_the_factor_is_a_share_times_a_yield(photons_umol_j, within):
    """45 % of sunlight; their product is rounded, the other lies in the spread."""
    product = 0.45 * photons_umol_j
    assert light.sun_ppfd_umol_m2_s(1.0) == pytest.approx(product, rel=within)
