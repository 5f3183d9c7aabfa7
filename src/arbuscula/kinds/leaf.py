"""Leaf, crown and the air around them: what the demand is computed from."""

from dataclasses import dataclass
from typing import Generic

from arbuscula.kinds.values import Num, Number


@dataclass(frozen=True, slots=True, kw_only=True)
class Stomata(Generic[Number]):
    """How the pores of one kind of leaf answer light, dry air and warmth."""

    reference_conductance_mol_m2_s: Number  # lit, acclimatised, at 1 kPa
    deficit_slope_sqrt_kpa: Number
    half_light_umol_m2_s: Number
    least_conductance_mol_m2_s: Number
    dark_leak_frac: Number  # of the reference conductance
    acclimation_exp: Number
    coldest_c: Number
    best_c: Number
    hottest_c: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class Optics(Generic[Number]):
    """How leaves, soil and what lies around them take light and heat."""

    leaf_absorbed_frac: Number
    scattered_back_ratio: Number
    leaf_faces_open_frac: Number  # of the two faces; they see the surroundings
    clumping_frac: Number
    ground_albedo_frac: Number
    room_albedo_frac: Number
    soil_albedo_frac: Number
    soil_emissivity_frac: Number
    ball_heat_frac: Number  # of the open surface's net radiation
    sky_past_crown_frac: Number  # diffuse light that reaches the soil from beside
    wind_at_leaf_ratio: Number  # over the wind at the crown
    wind_at_soil_ratio: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class Crown:
    """An ellipsoid of leaves, as wide as it is deep."""

    leaf_area_m2: float
    half_width_m: float
    half_height_m: float
    leaf_width_m: float  # the length that air crosses, not the ruler's


@dataclass(frozen=True, slots=True, kw_only=True)
class CrownAir:
    """Air and light at the crown, one number a row of time."""

    air_temperature_c: Num
    vapour_pressure_kpa: Num
    air_pressure_kpa: Num
    wind_speed_m_s: Num
    beam_w_m2: Num  # on a plane that faces the sun
    sky_w_m2: Num  # diffuse, on a level plane
    window_w_m2: Num  # behind glass, on a plane that faces it
    sun_elevation_rad: Num
    longwave_w_m2: Num  # of the sky less that of a black body at air temperature
    turbulence_ratio: float  # 1.4 outdoors and in moved air, 1.0 in a room
    daily_light_mol_m2_d: Num  # mean of the last thirty days
