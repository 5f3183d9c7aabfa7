"""Shelter: what a bench makes of the weather outside, by all that was said of it.

Panes, covers, lamps and rooms are worked out where a bench says enough; else the
usual shares of its exposure stand in.
"""

from dataclasses import replace
from typing import Final

import numpy as np

from arbuscula.kinds.exposure import Built, HouseFigures, Shelter
from arbuscula.kinds.leaf import CrownAir
from arbuscula.kinds.library import BallTraits
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.values import Num
from arbuscula.kinds.weather import Spot, WeatherRows
from arbuscula.microclimate.felt import (
    Air,
    Felt,
    Light,
    Outside,
    outside_of,
    pressure_kpa,
)
from arbuscula.microclimate.glasshouse import air_in_house, house_light
from arbuscula.microclimate.lamp import with_lamp
from arbuscula.microclimate.room import room_air
from arbuscula.microclimate.shares import air_by_shares, light_by_shares, rain_frac
from arbuscula.microclimate.window import near_the_glass, window_light
from arbuscula.science.air import saturation_vapour_pressure_kpa
from arbuscula.science.light import sun_light_mol_m2_d
from arbuscula.units import mj_m2_d_from_w_m2

IN_ROOMS: Final = (Exposure.WINDOW, Exposure.ROOM, Exposure.LAMP)


def rows_on_bench(
    rows: WeatherRows, bench: Bench, shelter: Shelter, spot: Spot | None = None
) -> WeatherRows:
    """Return the weather as it comes to one bench.

    Light is sunlight on a level place that carries as much for leaves; behind a
    window, on a plane that faces it. Without a spot the sun has no place in the
    sky, and windows have their usual share.
    """
    return rows_felt(outside_of(rows, spot), bench, shelter)


def rows_felt(outside: Outside, bench: Bench, shelter: Shelter) -> WeatherRows:
    """Return the weather as it comes to one bench, its light parted already."""
    felt = felt_on_bench(outside, bench, shelter)
    air, full_kpa = felt.air, saturation_vapour_pressure_kpa(felt.air.air_temperature_c)
    return replace(
        outside.rows,
        air_temperature_c=np.asarray(air.air_temperature_c),
        relative_humidity_frac=np.minimum(air.vapour_pressure_kpa / full_kpa, 1.0),
        wind_speed_2m_m_s=np.asarray(air.wind_speed_m_s),
        rain_mm=np.asarray(felt.rain_mm),
        shortwave_w_m2=np.asarray(level_light_w_m2(felt.light, outside)),
    )


def felt_on_bench(outside: Outside, bench: Bench, shelter: Shelter) -> Felt:
    """Return all that a bench feels of the weather outside."""
    built = shelter.built
    air, light = _by_exposure(outside, bench, shelter, built)
    if bench.light_ratio is not None:
        light = _scaled(light, bench.light_ratio)
    if built is not None:
        light = with_lamp(light, outside, bench, built.figures.lamp)
    rain_mm = rain_frac(bench, shelter) * outside.rows.rain_mm
    return Felt(air=air, light=light, rain_mm=rain_mm)


def _by_exposure(
    outside: Outside, bench: Bench, shelter: Shelter, built: Built | None
) -> tuple[Air, Light]:
    """Return air and daylight, worked out as far as something was said."""
    light = light_by_shares(outside, bench, shelter)
    if built is not None and bench.exposure in IN_ROOMS:
        return _in_a_room(outside, bench, built, light)
    house = _house_figures(bench, built)
    if built is None or house is None or not is_described(bench):
        return air_by_shares(outside, bench, shelter), light
    air = air_in_house(outside, bench, house, built)
    return air, house_light(outside, bench, house, built)


def _house_figures(bench: Bench, built: Built | None) -> HouseFigures | None:
    if built is None:
        return None
    houses = {
        Exposure.GLASSHOUSE: built.figures.glasshouse,
        Exposure.COLD_FRAME: built.figures.cold_frame,
    }
    return houses.get(bench.exposure)


def is_described(bench: Bench) -> bool:
    """Return whether enough was said of a bench to work out more than shares."""
    if bench.exposure in IN_ROOMS:
        return bench.facing_deg is not None
    house = (bench.cover, bench.ventilation, bench.vent_at_c, bench.heat_to_c)
    return bench.has_screen is not None or any(said is not None for said in house)


def _in_a_room(
    outside: Outside, bench: Bench, built: Built, light: Light
) -> tuple[Air, Light]:
    """Return air and daylight of a room, behind its window where one was said."""
    air = room_air(outside, bench, built.figures.room)
    if bench.facing_deg is not None and outside.spot is not None:
        light = window_light(outside, bench, built)
        return near_the_glass(air, light, outside, bench, built)
    if bench.exposure is Exposure.LAMP and bench.ppfd_umol_m2_s is not None:
        light = _scaled(light, 0.0)
    return air, light


def _scaled(light: Light, ratio: float) -> Light:
    return replace(
        light,
        beam_w_m2=ratio * light.beam_w_m2,
        sky_w_m2=ratio * light.sky_w_m2,
        window_w_m2=ratio * light.window_w_m2,
    )


def level_light_w_m2(light: Light, outside: Outside) -> Num:
    """Return what a meter shows at a bench, level, or held towards its window."""
    up = np.maximum(np.sin(np.radians(outside.light.sun_elevation_deg)), 0.0)
    return light.beam_w_m2 * up + light.sky_w_m2 + light.window_w_m2


def crown_air(felt: Felt, outside: Outside, ball: BallTraits) -> CrownAir:
    """Return what a bench feels, as crowns feel it.

    What leaves know of past light is the mean of the whole table here.
    """
    air, light, rows = felt.air, felt.light, outside.rows
    sheltered = ball.wind_at_crown_ratio.value if air.in_the_open else 1.0
    lasts_s = rows.until_s - rows.from_s
    mean_w_m2 = np.sum(
        level_light_w_m2(light, outside) * lasts_s, axis=-1, keepdims=True
    )
    return CrownAir(
        air_temperature_c=air.air_temperature_c,
        vapour_pressure_kpa=air.vapour_pressure_kpa,
        air_pressure_kpa=pressure_kpa(outside.spot),
        wind_speed_m_s=sheltered * air.wind_speed_m_s,
        beam_w_m2=light.beam_w_m2,
        sky_w_m2=light.sky_w_m2,
        window_w_m2=light.window_w_m2,
        sun_elevation_rad=np.radians(outside.light.sun_elevation_deg),
        longwave_w_m2=light.longwave_w_m2,
        turbulence_ratio=air.turbulence_ratio,
        daily_light_mol_m2_d=sun_light_mol_m2_d(
            mj_m2_d_from_w_m2(mean_w_m2 / np.sum(lasts_s))
        ),
    )
