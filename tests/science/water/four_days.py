"""Four made days that the demand model was first worked out for.

Invented weather; the sun by the simple formulas stated with them, so that
nothing but the demand is under test.
"""

from dataclasses import dataclass, replace

import numpy as np

from arbuscula.kinds.leaf import Crown, CrownAir, Optics, Stomata
from arbuscula.kinds.water import Ball, PotWater
from arbuscula.science.air import saturation_vapour_pressure_kpa
from arbuscula.science.sun import diffuse_frac
from arbuscula.science.water.balance import after_step, usable_frac
from arbuscula.science.water.demand import crown_demand_ml_h, open_surface_demand_mm_h
from arbuscula.science.water.sky import sky_longwave_w_m2

FIG = Stomata(
    reference_conductance_mol_m2_s=0.09,
    deficit_slope_sqrt_kpa=3.0,
    half_light_umol_m2_s=100.0,
    least_conductance_mol_m2_s=0.004,
    dark_leak_frac=0.05,
    acclimation_exp=0.25,
    coldest_c=5.0,
    best_c=28.0,
    hottest_c=45.0,
)
OPTICS = Optics(
    leaf_absorbed_frac=0.5,
    scattered_back_ratio=1.15,
    leaf_faces_open_frac=0.6,
    clumping_frac=0.9,
    ground_albedo_frac=0.2,
    room_albedo_frac=0.0,
    soil_albedo_frac=0.15,
    soil_emissivity_frac=0.95,
    ball_heat_frac=0.1,
    sky_past_crown_frac=0.35,
    wind_at_leaf_ratio=0.7,
    wind_at_soil_ratio=0.5,
)
CROWN = Crown(
    leaf_area_m2=0.25, half_width_m=0.18, half_height_m=0.11, leaf_width_m=0.02
)
LATITUDE_RAD = np.radians(45.7)
HOURS = np.arange(24) + 0.5
NIL = np.zeros(24)


@dataclass(frozen=True)
class Sky:
    elevation_rad: np.ndarray
    above_w_m2: np.ndarray


def sky_on(day_of_year):
    tilt = np.radians(23.45 * np.sin(2 * np.pi * (284 + day_of_year) / 365))
    turn = np.radians(15 * (HOURS - 12))
    sine = np.sin(LATITUDE_RAD) * np.sin(tilt)
    sine = sine + np.cos(LATITUDE_RAD) * np.cos(tilt) * np.cos(turn)
    far = 1 + 0.033 * np.cos(2 * np.pi * day_of_year / 365)
    return Sky(np.arcsin(sine), 1367 * far * np.maximum(sine, 0))


def scaled(shape, day_mj):
    return shape * day_mj * 1e6 / 3600 / shape.sum()


def outdoors(sky, level, sky_light, air, humidity, cloud, wind, daily):
    vapour = humidity * saturation_vapour_pressure_kpa(air)
    sine = np.maximum(np.sin(sky.elevation_rad), 0.05)
    up = sky.elevation_rad > np.radians(3)
    return CrownAir(
        air_temperature_c=air,
        vapour_pressure_kpa=vapour,
        air_pressure_kpa=101.3,
        wind_speed_m_s=wind,
        beam_w_m2=np.where(up, (level - sky_light) / sine, 0),
        sky_w_m2=sky_light,
        window_w_m2=NIL,
        sun_elevation_rad=sky.elevation_rad,
        longwave_w_m2=sky_longwave_w_m2(
            air_temperature_c=air, vapour_pressure_kpa=vapour, cloud_frac=cloud
        ),
        turbulence_ratio=1.4,
        daily_light_mol_m2_d=daily,
    )


def hot():
    sky = sky_on(196)
    rising = (HOURS >= 5) & (HOURS <= 15)
    since_noon = np.where(HOURS > 15, HOURS - 15, HOURS + 9)
    wave = np.where(
        rising, -np.cos(np.pi * (HOURS - 5) / 10), np.cos(np.pi * since_noon / 14)
    )
    air = 24 + 6 * wave
    level = scaled(sky.above_w_m2**1.15, 25)
    clear = np.where(sky.above_w_m2 > 20, level / np.maximum(sky.above_w_m2, 20), 0.3)
    sky_light = level * np.maximum(diffuse_frac(clear), 0.1)
    humidity = (80 - 40 * (air - 18) / 12) / 100
    wind = np.where(level > 0, 0.8, 0.3)
    return outdoors(sky, level, sky_light, air, humidity, 0.1, wind, 40)


def cool():
    sky = sky_on(258)
    air = 14 + 1.5 * np.sin(2 * np.pi * (HOURS - 9) / 24)
    level = scaled(sky.above_w_m2, 5)
    wind = np.where(level > 0, 1.0, 0.6)
    return outdoors(sky, level, level, air, 0.90 + NIL, 1.0, wind, 18)


def window(air, humidity, light, daily):
    return CrownAir(
        air_temperature_c=air,
        vapour_pressure_kpa=humidity * saturation_vapour_pressure_kpa(air),
        air_pressure_kpa=101.3,
        wind_speed_m_s=0.08 + NIL,
        beam_w_m2=NIL,
        sky_w_m2=NIL,
        window_w_m2=light,
        sun_elevation_rad=NIL,
        longwave_w_m2=NIL,
        turbulence_ratio=1.0,
        daily_light_mol_m2_d=daily,
    )


def bump(first, span, top):
    inside = (first < HOURS) & (first + span > HOURS)
    return np.where(inside, top * np.sin(np.pi * (HOURS - first) / span), 0)


def summer_window():
    air = 25 + 2 * np.sin(2 * np.pi * (HOURS - 10) / 24)
    return window(air, 0.5, bump(5, 15.5, 45) + bump(6, 5, 260), 3)


def winter_window():
    air = np.where((HOURS > 7) & (HOURS < 23), 21.0, 18.0)
    return window(air, 0.38, bump(8, 8, 60), 1)


DAYS = {
    "hot": hot(),
    "cool": cool(),
    "summer window": summer_window(),
    "winter window": winter_window(),
}
# capacity and usable water of 290 cm2 by 4.2 cm, roots a tenth; first stage
MIXES = {
    "ideal": (0.824, 718.2, 4.0),
    "bark": (0.733, 616.8, 3.0),
    "mineral": (0.623, 365.3, 2.0),
}


def ball(mix):
    held_frac, usable_ml, stage_1_mm = MIXES[mix]
    capacity_ml = held_frac * 290 * 4.2 * 0.9
    return Ball(
        capacity_ml=capacity_ml,
        stop_ml=capacity_ml - usable_ml,
        top_area_cm2=290.0,
        crown_area_cm2=np.pi * 18**2,
        gap_frac=1.0,
        canopy_store_ml=0.0,
        stage_1_mm=stage_1_mm,
        stage_2_mm=held_frac * 25,
        stress_below_frac=0.35,
        shed_below_frac=0.15,
        shed_frac=0.0,
    )


def full(ball):
    return PotWater(water_ml=ball.capacity_ml, surface_depletion_mm=0.0, canopy_ml=0.0)


def dry_down(air, ball, *, days_n=40):
    """Return usable share and passed water, hour by hour from a full pot at 06:00."""
    leaf = np.roll(crown_demand_ml_h(CROWN, FIG, OPTICS, air), -6)
    surface = np.roll(open_surface_demand_mm_h(CROWN, OPTICS, air), -6)
    water, left, passed = full(ball), [1.0], []
    for hour in range(24 * days_n):
        water, went = after_step(
            water,
            ball,
            rain_mm=0.0,
            given_ml=0.0,
            leaf_ml=leaf[hour % 24],
            surface_mm=surface[hour % 24],
            wall_ml=0.0,
        )
        left.append(float(usable_frac(water.water_ml, ball)))
        passed.append(went)
    return np.array(left), passed


def first_below_d(left, line):
    return np.argmax(left <= line) / 24


def with_leaf_area(crown, ratio):
    return replace(crown, leaf_area_m2=crown.leaf_area_m2 * ratio)
