"""Demand: what crown and open surface would take if water were plenty."""

from typing import Final

import numpy as np

from arbuscula.kinds.leaf import Crown, CrownAir, Optics, Stomata
from arbuscula.kinds.values import Num
from arbuscula.science.air import saturation_slope_kpa_c, saturation_vapour_pressure_kpa
from arbuscula.science.light import sun_ppfd_umol_m2_s
from arbuscula.science.water.crown import crown_light, transmitted_frac
from arbuscula.science.water.leaf import (
    AIR_HEAT_J_MOL_K,
    VAPORISATION_J_MOL,
    boundary_conductances_mol_m2_s,
    grams_from_latent_g_m2_h,
    leaf_exchange,
    radiative_conductance_mol_m2_s,
)
from arbuscula.science.water.stomata import stomatal_conductance_mol_m2_s

SOIL_LENGTH_M: Final = 0.2
SOIL_WARMER_BY_K: Final = 2.0
STRAIGHT_UP_RAD: Final = np.pi / 2


def crown_demand_ml_h(
    crown: Crown, stomata: Stomata[Num], optics: Optics[float], air: CrownAir
) -> Num:
    """Return what the leaves of a well-watered tree breathe out.

    Shape: members (if the stomata have any) by rows of time.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: dry leaves; a millilitre of water is taken as a gram.
    Source: depury1997 for the two leaf classes; schymanski2017 for each leaf.
    """
    light = crown_light(crown, optics, air)
    deficit_kpa = np.maximum(
        saturation_vapour_pressure_kpa(air.air_temperature_c) - air.vapour_pressure_kpa,
        0.0,
    )

    def given_off_g_m2_h(on_leaf_w_m2: Num) -> Num:
        conductance = stomatal_conductance_mol_m2_s(
            stomata,
            light_umol_m2_s=sun_ppfd_umol_m2_s(on_leaf_w_m2),
            vapour_deficit_kpa=deficit_kpa,
            air_temperature_c=air.air_temperature_c,
            daily_light_mol_m2_d=air.daily_light_mol_m2_d,
        )
        taken_up = optics.leaf_absorbed_frac * optics.scattered_back_ratio
        return leaf_exchange(
            air_temperature_c=air.air_temperature_c,
            vapour_pressure_kpa=air.vapour_pressure_kpa,
            air_pressure_kpa=air.air_pressure_kpa,
            wind_speed_m_s=optics.wind_at_leaf_ratio * air.wind_speed_m_s,
            width_m=crown.leaf_width_m,
            turbulence_ratio=air.turbulence_ratio,
            faces_open_frac=optics.leaf_faces_open_frac,
            absorbed_w_m2=taken_up * on_leaf_w_m2 + light.longwave_w_m2,
            conductance_mol_m2_s=conductance,
        ).evaporation_g_m2_h

    sunlit = light.sunlit_m2 * given_off_g_m2_h(light.on_sunlit_w_m2)
    return sunlit + light.shaded_m2 * given_off_g_m2_h(light.on_shaded_w_m2)


def open_surface_demand_mm_h(crown: Crown, optics: Optics[float], air: CrownAir) -> Num:
    """Return what wet soil below the crown would lose to the air.

    A surface of some hundred square centimetres in its own small wind and in
    the crown's shade: nearer the truth than a lawn's evaporation scaled down.

    Shape: that of the air's rows.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: soil as wet as after watering; the first stage of drying.
    Source: penman1948 in molar form, with the still layer of campbell1998.
    """
    t, P = air.air_temperature_c, air.air_pressure_kpa
    s = saturation_slope_kpa_c(t) / P
    deficit = np.maximum(saturation_vapour_pressure_kpa(t) - air.vapour_pressure_kpa, 0)
    heat, vapour = boundary_conductances_mol_m2_s(
        wind_speed_m_s=optics.wind_at_soil_ratio * air.wind_speed_m_s,
        width_m=SOIL_LENGTH_M,
        warmer_by_k=SOIL_WARMER_BY_K,
        turbulence_ratio=air.turbulence_ratio,
    )
    heat_all = heat + radiative_conductance_mol_m2_s(t, optics.soil_emissivity_frac)
    gamma = AIR_HEAT_J_MOL_K / VAPORISATION_J_MOL * heat_all / vapour
    pull = AIR_HEAT_J_MOL_K * heat_all * deficit / P
    latent = (s * _on_soil_w_m2(crown, optics, air) + pull) / (s + gamma)
    return grams_from_latent_g_m2_h(np.maximum(latent, 0.0)) / 1000


def _on_soil_w_m2(crown: Crown, optics: Optics[float], air: CrownAir) -> Num:
    """Return the net radiation of the open surface below the crown."""
    up = np.maximum(air.sun_elevation_rad, 0.0)
    from_above = float(transmitted_frac(crown, optics, STRAIGHT_UP_RAD))
    beside = optics.sky_past_crown_frac
    sky_seen = beside + (1 - beside) * from_above
    beam = air.beam_w_m2 * np.sin(up) * transmitted_frac(crown, optics, up)
    shortwave = beam + sky_seen * air.sky_w_m2 + beside * air.window_w_m2
    longwave = optics.soil_emissivity_frac * sky_seen * air.longwave_w_m2
    kept = (1 - optics.soil_albedo_frac) * shortwave + longwave
    return (1 - optics.ball_heat_frac) * kept
