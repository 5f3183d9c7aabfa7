"""Transpiration as conductance times deficit, E = g D / P, 1/g = 1/gs + 1/gb.

The identity is textbook (Jones, Plants and Microclimate; from memory); the
table is its arithmetic, exact to the printed 0.1 g.
"""

import pytest

from arbuscula.science.air import saturation_vapour_pressure_kpa
from arbuscula.science.water.leaf import VAPORISATION_J_MOL, leaf_exchange

pytestmark = pytest.mark.published

PORES = (0.01, 0.02, 0.05, 0.10)
TABLE = [
    (20, 0.50, 1.17, (7.2, 14.0, 34.0, 62.4)),
    (22, 0.40, 1.59, (9.8, 19.0, 46.2, 84.6)),
    (25, 0.60, 1.27, (7.9, 15.2, 36.9, 67.6)),
    (33, 0.50, 2.52, (15.6, 30.2, 73.2, 134.2)),
]


@pytest.mark.parametrize(("air_c", "humidity", "deficit_kpa", "grams"), TABLE)
def test_a_leaf_at_air_temperature(air_c, humidity, deficit_kpa, grams):
    """Wind and light make the still layer as printed; no heat flows."""
    full_kpa = saturation_vapour_pressure_kpa(air_c)
    missing_kpa = (1 - humidity) * full_kpa
    assert missing_kpa == pytest.approx(deficit_kpa, abs=0.006)
    for pores, printed in zip(PORES, grams, strict=True):
        still = 0.3 if pores <= 0.02 else 0.5
        moles = pores * still / (pores + still) * missing_kpa / 101.3
        got = leaf_exchange(
            air_temperature_c=air_c,
            vapour_pressure_kpa=humidity * full_kpa,
            air_pressure_kpa=101.3,
            wind_speed_m_s=0.02 * (still / 0.147) ** 2,
            width_m=0.02,
            turbulence_ratio=1.0,
            faces_open_frac=0.6,
            absorbed_w_m2=moles * VAPORISATION_J_MOL,
            conductance_mol_m2_s=pores,
        )
        assert got.warmer_by_k == pytest.approx(0, abs=2e-3)
        assert got.evaporation_g_m2_h == pytest.approx(printed, abs=0.06)
