"""Shares: what an exposure usually leaves of the weather, where little was said.

The shares are wide; what a bench says of netting, roof, rim and compass is taken
at its word.
"""

import numpy as np

from arbuscula.kinds.exposure import Shelter
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.microclimate.felt import Air, Light, Outside
from arbuscula.microclimate.glasshouse import cover_frac
from arbuscula.microclimate.open_air import MOVED_AIR_RATIO
from arbuscula.microclimate.room import STILL_AIR_RATIO, with_vapour
from arbuscula.microclimate.sight import sky_in_sight_frac, sun_in_sight

STILL_BELOW_RATIO = 0.2  # of the wind outside: a room's own air
OVERHEAD_DEG = 90.0


def air_by_shares(outside: Outside, bench: Bench, shelter: Shelter) -> Air:
    """Return air between the weather outside and that of the usual room.

    Warming adds no vapour; what people, plants and wet floors add is a figure of
    its own.
    """
    rows, share = outside.rows, shelter.outside_frac.value
    air_c = share * rows.air_temperature_c + (1 - share) * shelter.room_c.value
    if bench.heat_to_c is not None and not shelter.outdoors:
        air_c = np.maximum(air_c, bench.heat_to_c)
    is_still = shelter.wind_ratio.value < STILL_BELOW_RATIO
    air = Air(
        air_temperature_c=air_c,
        vapour_pressure_kpa=outside.vapour_pressure_kpa + shelter.own_vapour_kpa.value,
        wind_speed_m_s=shelter.wind_ratio.value * rows.wind_speed_2m_m_s,
        turbulence_ratio=STILL_AIR_RATIO if is_still else MOVED_AIR_RATIO,
        in_the_open=True,
    )
    return air if shelter.outdoors else with_vapour(air, bench)


def light_by_shares(outside: Outside, bench: Bench, shelter: Shelter) -> Light:
    """Return the usual share of the light, past rim, roof and whatever is opposite."""
    light, share = outside.light, through_frac(bench, shelter)
    sky_frac = sky_in_sight_frac(bench)
    return Light(
        beam_w_m2=share * light.beam_w_m2 * sun_in_sight(outside, bench),
        sky_w_m2=share * sky_frac * light.sky_w_m2,
        window_w_m2=np.zeros_like(light.sky_w_m2),
        longwave_w_m2=shelter.sky_seen_frac.value * sky_frac * light.longwave_w_m2,
    )


def through_frac(bench: Bench, shelter: Shelter) -> float:
    """Return how much light netting, roof or walls let through."""
    kept = 1 - (bench.shade_frac or 0.0)
    if bench.exposure is Exposure.SHADE_NETTING and bench.shade_frac is not None:
        return kept
    if bench.exposure is Exposure.RAIN_COVER and bench.cover and shelter.built:
        return cover_frac(bench, shelter.built.figures.glasshouse, shelter.built)
    return shelter.light_frac.value * kept


def rain_frac(bench: Bench, shelter: Shelter) -> float:
    """Return the share of the rain that falls on a bench's pots."""
    usual = shelter.rain_frac.value
    is_roofed = bench.overhang_deg is not None and bench.overhang_deg < OVERHEAD_DEG
    if not is_roofed or shelter.built is None:
        return usual
    return usual * shelter.built.figures.light.under_roof_frac.value
