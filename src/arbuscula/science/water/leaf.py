"""Leaf: one leaf's water and warmth, heat leaving by both sides."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from arbuscula.kinds.values import Num
from arbuscula.science.air import saturation_slope_kpa_c, saturation_vapour_pressure_kpa
from arbuscula.units import (
    HOUR_S,
    STEFAN_BOLTZMANN_W_M2_K4,
    WATER_MOLAR_MASS_G_MOL,
    ZERO_C_IN_KELVIN,
)

AIR_HEAT_J_MOL_K: Final = 29.3
VAPORISATION_J_MOL: Final = 44_100.0
LEAF_EMISSIVITY_FRAC: Final = 0.97
PASSES_N: Final = 3  # sixty differ by less than 0.01 %
STILLEST_MOL_M2_S: Final = 1e-6  # around a leaf as warm as air that stands
FIRST_GUESS_K: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LeafExchange:
    """What one square metre of leaf gives off, and how warm it gets by it."""

    latent_w_m2: Num
    evaporation_g_m2_h: Num
    warmer_by_k: Num


def boundary_conductances_mol_m2_s(
    *, wind_speed_m_s: Num, width_m: Num, warmer_by_k: Num, turbulence_ratio: Num
) -> tuple[Num, Num]:
    """Return the still layer's conductance for heat and for vapour, one side.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: flat leaves of 5 to 150 mm; still air to a strong wind.
    Source: campbell1998, table 7.6 (coefficients from memory).
    Departs: forced and free convection joined as the cube root of their cubes.
    """
    forced = np.sqrt(np.maximum(wind_speed_m_s, 0.0) / width_m) * turbulence_ratio
    free = (np.abs(warmer_by_k) / width_m) ** 0.25
    heat = np.cbrt((0.135 * forced) ** 3 + (0.05 * free) ** 3)
    vapour = np.cbrt((0.147 * forced) ** 3 + (0.055 * free) ** 3)
    return heat, vapour


def radiative_conductance_mol_m2_s(
    air_temperature_c: Num, emissivity_frac: Num = LEAF_EMISSIVITY_FRAC
) -> Num:
    """Return how freely a surface near air temperature loses heat by glowing.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: surfaces within some ten kelvin of the air.
    Source: campbell1998, eq. 12.7.
    """
    kelvin = air_temperature_c + ZERO_C_IN_KELVIN
    return 4 * emissivity_frac * STEFAN_BOLTZMANN_W_M2_K4 * kelvin**3 / AIR_HEAT_J_MOL_K


def leaf_exchange(
    *,
    air_temperature_c: Num,
    vapour_pressure_kpa: Num,
    air_pressure_kpa: Num,
    wind_speed_m_s: Num,
    width_m: Num,
    turbulence_ratio: Num,
    faces_open_frac: Num,
    absorbed_w_m2: Num,
    conductance_mol_m2_s: Num,
) -> LeafExchange:
    """Return what a leaf gives off, and how much warmer than the air it is.

    Pores on the lower side only, heat from both: one side alone would overstate
    the water by a quarter on a bench and by half in still air. Dew counts as nil.

    Shape: arguments broadcast together; members first, time last.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: leaves within about 8 K of the air (3 % too little at 5 K).
    Source: schymanski2017, eq. 22 in molar form; monteith1965.
    """
    t, P = air_temperature_c, air_pressure_kpa
    s = saturation_slope_kpa_c(t) / P
    deficit = np.maximum(saturation_vapour_pressure_kpa(t) - vapour_pressure_kpa, 0.0)
    glowing = 2 * faces_open_frac * radiative_conductance_mol_m2_s(t)
    warmer: Num = np.asarray(FIRST_GUESS_K)
    for _ in range(PASSES_N):
        heat, vapour = boundary_conductances_mol_m2_s(
            wind_speed_m_s=wind_speed_m_s,
            width_m=width_m,
            warmer_by_k=warmer,
            turbulence_ratio=turbulence_ratio,
        )
        heat_all = 2 * heat + glowing
        vapour = np.maximum(vapour, STILLEST_MOL_M2_S)
        vapour_all = conductance_mol_m2_s * vapour / (conductance_mol_m2_s + vapour)
        gamma = AIR_HEAT_J_MOL_K / VAPORISATION_J_MOL * heat_all / vapour_all
        pull = AIR_HEAT_J_MOL_K * heat_all * deficit / P
        latent = (s * absorbed_w_m2 + pull) / (s + gamma)
        warmer = (absorbed_w_m2 - latent) / (AIR_HEAT_J_MOL_K * heat_all)
    latent = np.maximum(latent, 0.0)
    return LeafExchange(
        latent_w_m2=latent,
        evaporation_g_m2_h=grams_from_latent_g_m2_h(latent),
        warmer_by_k=warmer,
    )


def grams_from_latent_g_m2_h(latent_w_m2: Num) -> Num:
    """Return the water that this much latent heat carries away.

    Shape: any.
    Errors: none raised.
    Holds for: 0 to 45 degC; the heat of vaporisation is taken at 25 degC.
    Source: campbell1998, table A.2.
    """
    return latent_w_m2 / VAPORISATION_J_MOL * WATER_MOLAR_MASS_G_MOL * HOUR_S
