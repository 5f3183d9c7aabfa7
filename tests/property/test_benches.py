"""Benches: more in the way never gives more light, and no heat is made of nothing."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arbuscula.kinds.place import Exposure
from arbuscula.kinds.pot import Pot
from arbuscula.microclimate.felt import outside_of
from arbuscula.microclimate.root_ball import Balls, root_ball
from arbuscula.science import glasshouse, glazing, heat, sky
from arbuscula.science.air import saturation_vapour_pressure_kpa
from tests.microclimate.benches import (
    LIBRARY,
    SOUTH,
    STAIR,
    bench,
    rows_on,
    vapour_of,
    weather,
)

SIDES = st.floats(0, 360)
DAYS = st.sampled_from(["2026-03-20", "2026-06-21", "2026-09-01", "2026-12-21"])
CLEAR = st.floats(0.05, 0.75)
SPOTS = st.sampled_from([STAIR, SOUTH])
ANGLES = st.floats(-10, 90)
LEAST = 1e-9
UNDER_THE_SKY = [
    Exposure.OPEN,
    Exposure.SHADE_NETTING,
    Exposure.RAIN_COVER,
    Exposure.GLASSHOUSE,
    Exposure.COLD_FRAME,
]


def told_on(day, clear, spot):
    return weather(day, days_n=1, clear=clear, mean_c=12.0, spot=spot)


@given(DAYS, CLEAR, SPOTS, SIDES, st.floats(0, 85), st.floats(0, 85))
def test_more_obstruction_never_gives_a_window_more_light(
    day, clear, spot, side, one_deg, other_deg
):
    told, window = told_on(day, clear, spot), bench(facing_deg=side)
    low, high = sorted((one_deg, other_deg))
    less, more = (
        rows_on(told, replace(window, obstruction_deg=o), spot).shortwave_w_m2
        for o in (high, low)
    )
    assert np.all(less <= more + LEAST)


@given(
    DAYS,
    CLEAR,
    SPOTS,
    st.none() | SIDES,
    st.sampled_from(UNDER_THE_SKY),
    st.floats(0, 90),
    st.floats(0, 90),
)
def test_more_obstruction_never_gives_a_bench_more_light(
    day, clear, spot, side, exposure, one_deg, other_deg
):
    told = told_on(day, clear, spot)
    here = bench(exposure, facing_deg=side, heat_to_c=5.0)
    low, high = sorted((one_deg, other_deg))
    less, more = (
        rows_on(told, replace(here, obstruction_deg=o), spot).shortwave_w_m2
        for o in (high, low)
    )
    assert np.all(less <= more + LEAST)


@given(DAYS, CLEAR, SIDES, st.floats(10, 180), st.floats(10, 180))
def test_a_longer_roof_never_gives_more_light(day, clear, side, one_deg, other_deg):
    told, here = told_on(day, clear, STAIR), bench(Exposure.OPEN, facing_deg=side)
    low, high = sorted((one_deg, other_deg))
    less, more = (
        rows_on(told, replace(here, overhang_deg=o)).shortwave_w_m2 for o in (low, high)
    )
    assert np.all(less <= more + LEAST)


@given(
    DAYS,
    CLEAR,
    SPOTS,
    SIDES,
    st.sampled_from(["curtain_frac", "shade_frac"]),
    st.floats(0, 1),
    st.floats(0, 1),
)
def test_more_curtain_never_gives_more_light(
    day, clear, spot, side, what, one_frac, other_frac
):
    told, window = told_on(day, clear, spot), bench(facing_deg=side)
    low, high = sorted((one_frac, other_frac))
    less, more = (
        rows_on(told, replace(window, **{what: share}), spot).shortwave_w_m2
        for share in (high, low)
    )
    assert np.all(less <= more + LEAST)


@given(DAYS, CLEAR, SPOTS, SIDES, st.floats(0, 400))
def test_a_window_never_gives_more_than_falls_on_its_outside(
    day, clear, spot, side, distance_cm
):
    """What the walls send back is less than what the panes keep out."""
    told = told_on(day, clear, spot)
    open_sky = outside_of(told, spot).light
    outside = sky.plane_light(
        beam_normal_w_m2=open_sky.beam_w_m2,
        diffuse_w_m2=open_sky.sky_w_m2,
        shortwave_w_m2=told.shortwave_w_m2,
        elevation_deg=open_sky.sun_elevation_deg,
        azimuth_deg=open_sky.sun_azimuth_deg,
        facing_deg=side,
        obstruction_deg=0.0,
        ground_albedo_frac=0.2,
        opposite_ratio=0.1,
    )
    window = bench(facing_deg=side, glass_distance_cm=distance_cm)
    inside = rows_on(told, window, spot).shortwave_w_m2
    all_outside = outside.beam_w_m2 + outside.sky_w_m2 + outside.ground_w_m2
    assert np.all(inside >= 0)
    assert np.all(inside <= all_outside + LEAST)


@given(
    st.floats(0.02, 5),
    st.floats(0.02, 5),
    st.floats(0.1, 3),
    st.floats(0.1, 3),
    st.floats(-2, 2),
)
def test_an_opening_looks_smaller_from_further_away(one_m, other_m, wide, high, low):
    near, far = sorted((one_m, other_m))

    def seen(distance_m, bottom_m):
        opening = sky.Opening(
            left_m=-wide,
            right_m=wide,
            bottom_m=bottom_m,
            top_m=bottom_m + high,
            distance_m=distance_m,
        )
        return sky.opening_frac(opening), sky.opening_sphere_frac(opening)

    for bottom_m in (low, -high / 2):
        plane, sphere = seen(near, bottom_m)
        assert 0 <= plane <= 1
        assert 0 <= sphere <= 0.5
    (near_plane, near_sphere), (far_plane, far_sphere) = (
        seen(distance_m, -high / 2) for distance_m in (near, far)
    )
    assert far_plane <= near_plane + LEAST
    assert far_sphere <= near_sphere + LEAST


@given(st.floats(0, 89), st.floats(0, 89), st.floats(0.05, 0.95), st.integers(1, 4))
def test_flatter_light_never_passes_better(one_deg, other_deg, normal_frac, panes_n):
    """2e-4: four panes favour the one swing of light before they dim the other."""
    steep, flat = sorted((one_deg, other_deg))
    straight, aslant = (
        glazing.transmitted_frac(
            incidence_deg=angle, normal_frac=normal_frac, panes_n=panes_n
        )
        for angle in (steep, flat)
    )
    assert 0 <= aslant <= straight + 2e-4
    assert straight <= normal_frac + 2e-4


@given(st.data())
def test_an_array_is_answered_like_its_numbers(data):
    def two(low, high):
        return np.array([data.draw(st.floats(low, high)) for _ in range(2)])

    up, around, side = two(-20, 90), two(0, 360), data.draw(SIDES)
    for answer in (sky.incidence_deg, sky.profile_deg):
        each = [
            float(answer(elevation_deg=a, azimuth_deg=b, facing_deg=side))
            for a, b in zip(up, around, strict=True)
        ]
        both = answer(elevation_deg=up, azimuth_deg=around, facing_deg=side)
        assert both == pytest.approx(each, abs=1e-9)
    outside_c, gain = two(-20, 40), two(0, 600)
    house = glasshouse.House(
        loss_w_m2_k=10.0,
        leak_w_m2_k=1.0,
        vent_most_w_m2_k=20.0,
        store_w_m2_k=5.0,
        vent_at_c=22.0,
        heat_to_c=6.0,
    )

    def air(outside_c, gain):
        return glasshouse.house_air(
            house,
            outside_c=outside_c,
            cover_sees_c=outside_c - 1,
            gain_w_m2=gain,
            store_c=10.0,
        ).air_temperature_c

    each = [float(air(c, w)) for c, w in zip(outside_c, gain, strict=True)]
    assert air(outside_c, gain) == pytest.approx(each, abs=1e-9)


HOUSES = st.builds(
    glasshouse.House,
    loss_w_m2_k=st.floats(1, 25),
    leak_w_m2_k=st.floats(0.1, 5),
    vent_most_w_m2_k=st.floats(5, 100),
    store_w_m2_k=st.floats(0, 12),
    vent_at_c=st.floats(10, 35),
    heat_to_c=st.sampled_from([-np.inf, 2.0, 10.0]),
)


@given(
    HOUSES,
    st.floats(-25, 45),
    st.floats(0, 5),
    st.floats(0, 800),
    st.floats(-10, 40),
)
def test_no_house_makes_energy(house, outside_c, colder_k, gain, store_c):
    """What comes in by sun, heater and store goes out by cover and air."""
    air = glasshouse.house_air(
        house,
        outside_c=outside_c,
        cover_sees_c=outside_c - colder_k,
        gain_w_m2=gain,
        store_c=store_c,
    )
    over_cover = air.air_temperature_c - (outside_c - colder_k)
    out = house.loss_w_m2_k * over_cover
    out = out + air.exchange_w_m2_k * (air.air_temperature_c - outside_c)
    assert gain + air.heating_w_m2 - air.stored_w_m2 == pytest.approx(out, abs=1e-6)
    assert air.heating_w_m2 >= 0
    if np.isinf(house.heat_to_c):
        highest = max(outside_c, store_c) + gain / house.loss_w_m2_k
        assert air.air_temperature_c <= highest + LEAST


@given(
    st.sampled_from([Exposure.ROOM, Exposure.WINDOW, Exposure.LAMP]),
    st.floats(-15, 15),
    st.floats(16, 26),
    st.floats(16, 26),
)
def test_a_room_that_only_warms_the_air_leaves_its_vapour(
    exposure, outside_c, one_c, other_c
):
    told = weather("2026-01-15", days_n=1, mean_c=outside_c, swing_k=1.0)
    one, other = (
        rows_on(told, bench(exposure, winter_c=c, summer_c=c)) for c in (one_c, other_c)
    )
    full = saturation_vapour_pressure_kpa(min(one_c, other_c))
    held = np.minimum(vapour_of(one), full)
    assert np.minimum(vapour_of(other), full) == pytest.approx(held, abs=1e-9)


BALLS = st.builds(
    heat.ball_heat,
    volume_ml=st.floats(50, 20000),
    water_frac=st.floats(0.02, 0.7),
    dry_heat_j_cm3_k=st.floats(0.1, 1.0),
)


@given(
    BALLS,
    st.floats(-20, 40),
    st.lists(st.floats(-30, 60), min_size=1, max_size=12),
    st.floats(0.05, 10),
)
def test_a_ball_stays_between_where_it_was_and_what_drives_it(
    ball, start_c, driving_c, exchange_w_k
):
    held = heat.warmth_held_j(
        ball,
        driving_c=np.array(driving_c),
        exchange_w_k=exchange_w_k,
        start_c=start_c,
        row_s=3600.0,
    )
    told = heat.temperature_c(ball, held)
    assert np.all(told >= min(start_c, *driving_c) - LEAST)
    assert np.all(told <= max(start_c, *driving_c) + LEAST)
    ice = heat.frozen_frac(ball, held)
    assert np.all((ice >= 0) & (ice <= 1))


@settings(max_examples=20, deadline=None)
@given(st.floats(0.4, 2.5), st.floats(0.4, 2.5), st.floats(0.1, 0.6))
def test_the_smaller_of_two_pots_never_freezes_later(one, other, water_frac):
    """Pots of one shape in dark, steady frost, from one warmth."""
    small, big = sorted((one, other))
    told = weather("2026-01-15", days_n=3, mean_c=-5.0, swing_k=0.0, clear=0.0)
    air_c = np.where(np.arange(72) < 24, 1.0, -5.0)
    told = replace(told, air_temperature_c=air_c)
    pots = tuple(
        Pot(shape="round", diameter_mm=150 * s, depth_mm=60 * s) for s in (small, big)
    )
    ice = root_ball(
        told,
        STAIR,
        bench(Exposure.OPEN),
        LIBRARY,
        Balls(pots=pots, water_frac=water_frac),
    ).frozen_frac[0]
    assert np.all(ice[0] >= ice[1] - 1e-6)


@settings(max_examples=20, deadline=None)
@given(
    DAYS,
    CLEAR,
    SPOTS,
    st.sampled_from([Exposure.OPEN, Exposure.GLASSHOUSE, Exposure.WINDOW]),
    st.sampled_from(["battens", "ground", "concrete"]),
    st.floats(0.4, 2.5),
    st.floats(-15, 30),
)
def test_a_darker_pot_is_never_cooler(day, clear, spot, exposure, floor, size, mean_c):
    """By day and by night, frozen or not: what was taken up stays in the ball."""
    told = weather(day, days_n=2, clear=clear, mean_c=mean_c, spot=spot)
    pots = tuple(
        Pot(shape="round", diameter_mm=150 * size, depth_mm=60 * size, colour=colour)
        for colour in ("dark", "medium", "light")
    )
    one = bench(exposure, floor=floor, facing_deg=180.0)
    ball_c = root_ball(told, spot, one, LIBRARY, Balls(pots=pots)).temperature_c[0]
    dark, medium, light = ball_c
    assert np.all(dark >= medium - LEAST)
    assert np.all(medium >= light - LEAST)
    assert dark.sum() > light.sum()
