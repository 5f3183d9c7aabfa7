"""One leaf: worked by an independent reading of the same equations.

The printed digits come from docs/water.md; they are computed, not measured.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from arbuscula.science.air import saturation_slope_kpa_c, saturation_vapour_pressure_kpa
from arbuscula.science.water.leaf import (
    AIR_HEAT_J_MOL_K,
    LEAF_EMISSIVITY_FRAC,
    VAPORISATION_J_MOL,
    boundary_conductances_mol_m2_s,
    leaf_exchange,
    radiative_conductance_mol_m2_s,
)
from arbuscula.science.water.stomata import (
    stomatal_conductance_mol_m2_s,
    warmth_response_frac,
)
from arbuscula.units import WATER_MOLAR_MASS_G_MOL
from tests.science.water.four_days import FIG


def a_leaf(**changed):
    usual = {
        "air_temperature_c": 30.0,
        "vapour_pressure_kpa": 1.9,
        "air_pressure_kpa": 101.3,
        "wind_speed_m_s": 0.5,
        "width_m": 0.02,
        "turbulence_ratio": 1.4,
        "faces_open_frac": 0.6,
        "absorbed_w_m2": 200.0,
        "conductance_mol_m2_s": 0.06,
    }
    return leaf_exchange(**usual | changed)


@pytest.mark.parametrize(
    ("light", "deficit", "warmth", "daily", "printed"),
    [
        (500, 1, 25, 12, 0.08204),
        (1000, 2.5, 30, 12, 0.06723),
        (20, 1.2, 20, 12, 0.02066),
        (0, 1.2, 20, 12, 0.00850),
        (200, 0.16, 14, 12, 0.06777),
        (1000, 2.5, 30, 40, 0.08303),
        (20, 1.2, 20, 1, 0.01295),
    ],
)
def test_pores_open_as_printed(light, deficit, warmth, daily, printed):
    got = stomatal_conductance_mol_m2_s(
        FIG,
        light_umol_m2_s=light,
        vapour_deficit_kpa=deficit,
        air_temperature_c=warmth,
        daily_light_mol_m2_d=daily,
    )
    assert got == pytest.approx(printed, abs=6e-6)  # print rounding


def test_pores_shut_to_the_leak_outside_their_warmth():
    assert warmth_response_frac(FIG, 4.0) == 0
    assert warmth_response_frac(FIG, 46.0) == 0
    assert warmth_response_frac(FIG, 28.0) == pytest.approx(1)


@pytest.mark.parametrize(
    ("wind", "width", "warmer", "turbulence", "heat", "vapour"),
    [
        (1, 0.02, 2, 1.4, 1.3372, 1.4561),
        (0.1, 0.02, 2, 1, 0.3157, 0.3442),
        (0.1, 0.06, 5, 1, 0.2060, 0.2252),
    ],
)
def test_the_still_layer_as_printed(wind, width, warmer, turbulence, heat, vapour):
    got = boundary_conductances_mol_m2_s(
        wind_speed_m_s=wind,
        width_m=width,
        warmer_by_k=warmer,
        turbulence_ratio=turbulence,
    )
    assert got == pytest.approx((heat, vapour), abs=6e-5)  # print rounding


@pytest.mark.parametrize(
    ("humidity", "changed", "grams", "warmer"),
    [
        (0.45, {"wind_speed_m_s": 0.56}, 102.4563, 1.9736),
        (
            0.90,
            {
                "air_temperature_c": 14,
                "absorbed_w_m2": 20,
                "conductance_mol_m2_s": 0.05,
                "wind_speed_m_s": 0.7,
            },
            5.6339,
            0.2252,
        ),
        (
            0.38,
            {
                "air_temperature_c": 20,
                "absorbed_w_m2": 2,
                "conductance_mol_m2_s": 0.008,
                "wind_speed_m_s": 0.056,
                "turbulence_ratio": 1,
            },
            7.0939,
            -0.1405,
        ),
        (
            0.45,
            {
                "absorbed_w_m2": 250,
                "wind_speed_m_s": 0.1,
                "width_m": 0.058,
                "turbulence_ratio": 1,
            },
            131.2130,
            7.9557,
        ),
    ],
)
def test_a_leaf_as_printed(humidity, changed, grams, warmer):
    air_c = changed.get("air_temperature_c", 30.0)
    vapour_kpa = humidity * saturation_vapour_pressure_kpa(air_c)
    got = a_leaf(vapour_pressure_kpa=vapour_kpa, **changed)
    # the slope of the saturation curve differs in its fourth digit
    assert got.evaporation_g_m2_h == pytest.approx(grams, rel=2e-4)
    assert got.warmer_by_k == pytest.approx(warmer, abs=2e-3)


warmths = st.floats(2, 42)
shares = st.floats(0.05, 0.99)


@given(warmths, shares, shares, st.floats(0, 400), st.floats(0.002, 0.4))
def test_drier_air_never_takes_less(air_c, wetter, drier, absorbed, conductance):
    wetter, drier = max(wetter, drier), min(wetter, drier)
    full_kpa = saturation_vapour_pressure_kpa(air_c)
    common = {
        "air_temperature_c": air_c,
        "absorbed_w_m2": absorbed,
        "conductance_mol_m2_s": conductance,
    }
    dry = a_leaf(vapour_pressure_kpa=drier * full_kpa, **common)
    wet = a_leaf(vapour_pressure_kpa=wetter * full_kpa, **common)
    # three passes for the leaf's own warmth leave a part in a thousand
    assert dry.evaporation_g_m2_h >= wet.evaporation_g_m2_h * (1 - 2e-3) - 1e-6


@given(warmths, shares, st.floats(0, 300), st.floats(0.01, 0.2))
def test_wider_pores_never_give_less(air_c, humidity, absorbed, conductance):
    common = {
        "air_temperature_c": air_c,
        "absorbed_w_m2": absorbed,
        "vapour_pressure_kpa": humidity * saturation_vapour_pressure_kpa(air_c),
    }
    narrow = a_leaf(conductance_mol_m2_s=conductance, **common)
    wide = a_leaf(conductance_mol_m2_s=2 * conductance, **common)
    assert wide.evaporation_g_m2_h >= narrow.evaporation_g_m2_h * (1 - 2e-3) - 1e-6


@given(st.floats(10, 35), st.floats(0.2, 0.8), st.floats(0.005, 0.2))
def test_a_leaf_as_warm_as_the_air_gives_conductance_times_deficit(air_c, rh, g):
    """The light for which the leaf is at air temperature, found by hand."""
    full_kpa = saturation_vapour_pressure_kpa(air_c)
    deficit_kpa = (1 - rh) * full_kpa
    still = boundary_conductances_mol_m2_s(
        wind_speed_m_s=0.5, width_m=0.02, warmer_by_k=0.0, turbulence_ratio=1.4
    )
    through = g * still[1] / (g + still[1])
    moles = through * deficit_kpa / 101.3
    got = a_leaf(
        air_temperature_c=air_c,
        vapour_pressure_kpa=rh * full_kpa,
        absorbed_w_m2=moles * VAPORISATION_J_MOL,
        conductance_mol_m2_s=g,
    )
    grams = moles * WATER_MOLAR_MASS_G_MOL * 3600
    assert got.evaporation_g_m2_h == pytest.approx(grams, rel=2e-3)


def test_both_sides_lose_heat():
    """One side alone, without glow, would overstate the water by a quarter.

    Source: schymanski2017 (up to a half with artificial leaves, abstract).
    """
    t = 30.0
    s = saturation_slope_kpa_c(t) / 101.3
    deficit = saturation_vapour_pressure_kpa(t) - 1.9
    heat, vapour = boundary_conductances_mol_m2_s(
        wind_speed_m_s=0.5, width_m=0.02, warmer_by_k=2.0, turbulence_ratio=1.4
    )
    through = 0.06 * vapour / (0.06 + vapour)
    gamma = AIR_HEAT_J_MOL_K / VAPORISATION_J_MOL * heat / through
    one = (s * 200 + AIR_HEAT_J_MOL_K * heat * deficit / 101.3) / (s + gamma)
    both = a_leaf().latent_w_m2
    assert 1.15 < one / both < 1.5


def test_a_body_glows_by_the_fourth_power():
    """The conductance is the slope of sigma T^4, checked by a difference."""
    sigma = 5.670374419e-8
    slope = sigma * ((303.15 + 0.5) ** 4 - (303.15 - 0.5) ** 4) * LEAF_EMISSIVITY_FRAC
    got = radiative_conductance_mol_m2_s(30.0) * AIR_HEAT_J_MOL_K
    assert got == pytest.approx(slope, rel=1e-5)  # the difference's own error
