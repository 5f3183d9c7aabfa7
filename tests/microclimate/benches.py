"""Benches and weather for checks of what a bench makes of the weather."""

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np

from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.weather import Spot, WeatherRows
from arbuscula.microclimate.felt import outside_of
from arbuscula.microclimate.shelter import crown_air, felt_on_bench, rows_on_bench
from arbuscula.science.air import saturation_vapour_pressure_kpa, vapour_pressure_kpa
from arbuscula.science.light import sun_light_mol_m2_d
from arbuscula.science.sun import extraterrestrial_w_m2, sun_position
from arbuscula.units import mj_m2_d_from_w_m2
from tests.state.made import LIBRARY

STAIR = Spot(latitude_deg=45.7, longitude_deg=13.8, elevation_m=210.0)
SOUTH = replace(STAIR, latitude_deg=-45.7)
BALL = LIBRARY.demand.ball
DAY_N = 24


def weather(
    day="2026-06-21", *, days_n=3, clear=0.65, mean_c=20.0, swing_k=6.0, spot=STAIR
):
    """Return equal days of hours; vapour stays, so that nights are nearly full."""
    from_s = datetime.fromisoformat(day).replace(tzinfo=UTC).timestamp()
    from_s = from_s + 3600.0 * np.arange(DAY_N * days_n)
    up = sun_position(
        unix_s=from_s + 1800,
        latitude_deg=spot.latitude_deg,
        longitude_deg=spot.longitude_deg,
    )
    above = extraterrestrial_w_m2(unix_s=from_s + 1800, elevation_deg=up.elevation_deg)
    solar_h = (from_s / 3600 + spot.longitude_deg / 15) % 24
    air_c = mean_c - swing_k * np.cos(2 * np.pi * (solar_h - 3) / 24)
    least = saturation_vapour_pressure_kpa(mean_c - swing_k)
    flat = np.ones_like(from_s)
    return WeatherRows(
        from_s=from_s,
        until_s=from_s + 3600,
        air_temperature_c=air_c,
        relative_humidity_frac=0.95 * least / saturation_vapour_pressure_kpa(air_c),
        wind_speed_2m_m_s=2 * flat,
        rain_mm=0.3 * flat,
        shortwave_w_m2=clear * above,
    )


def bench(exposure=Exposure.WINDOW, **said):
    return Bench(yard="stair", name="a bench", exposure=exposure, **said)


def rows_on(told, one, spot=STAIR):
    return rows_on_bench(told, one, LIBRARY.shelters[one.exposure], spot)


def air_on(told, one, spot=STAIR):
    outside = outside_of(told, spot)
    felt = felt_on_bench(outside, one, LIBRARY.shelters[one.exposure])
    return crown_air(felt, outside, BALL)


def light_mol_m2_d(rows):
    """Return the light of the last day."""
    return float(
        sun_light_mol_m2_d(mj_m2_d_from_w_m2(rows.shortwave_w_m2[..., -DAY_N:].mean()))
    )


def vapour_of(rows):
    return vapour_pressure_kpa(
        air_temperature_c=rows.air_temperature_c,
        relative_humidity_frac=rows.relative_humidity_frac,
    )


def last_day(hours):
    return np.asarray(hours)[..., -DAY_N:]
