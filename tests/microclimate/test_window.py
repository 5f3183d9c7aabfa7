"""Light and air behind a window."""

from dataclasses import replace

import numpy as np
import pytest

from arbuscula.kinds.place import Exposure
from arbuscula.microclimate.felt import outside_of
from arbuscula.microclimate.window import window_light
from arbuscula.science.sky import Opening, opening_frac
from tests.microclimate.benches import (
    LIBRARY,
    SOUTH,
    STAIR,
    air_on,
    bench,
    last_day,
    light_mol_m2_d,
    rows_on,
    vapour_of,
    weather,
)

BUILT = LIBRARY.shelters[Exposure.WINDOW].built
JUNE, DECEMBER = weather(), weather("2026-12-21", mean_c=4.0)


def light(told=JUNE, spot=STAIR, **said):
    return light_mol_m2_d(rows_on(told, bench(**{"facing_deg": 90.0, **said}), spot))


def test_in_winter_the_sunny_side_is_bright_and_the_north_side_dim():
    sides = {side: light(DECEMBER, facing_deg=side) for side in (0.0, 90.0, 180.0)}
    assert sides[180.0] > 2 * sides[90.0]
    assert sides[90.0] > sides[0.0]


def test_in_the_south_the_sunny_side_looks_north():
    june = weather(spot=SOUTH, mean_c=6.0)
    north, south = (light(june, SOUTH, facing_deg=side) for side in (0.0, 180.0))
    assert north > 4 * south


def test_east_has_the_morning_and_west_the_afternoon():
    east, west = (
        last_day(rows_on(JUNE, bench(facing_deg=side)).shortwave_w_m2)
        for side in (90.0, 270.0)
    )
    assert np.argmax(east) + 6 < np.argmax(west)
    assert east.sum() == pytest.approx(west.sum(), rel=0.2)  # hours do not mirror


def test_even_light_falls_with_the_distance_as_the_opening_does():
    """A dull sky without ground: the ratio is that of the two openings."""
    dull = weather(clear=0.15)
    told = outside_of(dull, STAIR)

    def seen(distance_cm):
        here = bench(facing_deg=0.0, glass_distance_cm=distance_cm, sill_height_cm=20.0)
        return window_light(told, here, BUILT).window_w_m2[12]

    def opening(distance_m):
        return opening_frac(
            Opening(
                left_m=-0.6, right_m=0.6, bottom_m=0, top_m=1.2, distance_m=distance_m
            )
        )

    assert seen(200.0) / seen(50.0) == pytest.approx(opening(2.0) / opening(0.5))


def test_a_pane_dims_as_its_glass_says():
    """At one distance and under one dull sky, light goes with what panes pass."""
    dull = weather(clear=0.15)
    clear, coated, tinted = (
        light(dull, glazing=g) for g in ("single", "double-low-e", "tinted")
    )
    assert clear > coated > tinted


@pytest.mark.parametrize(
    "said",
    [
        {"curtain_frac": 0.5},
        {"obstruction_deg": 40.0},
        {"glass_distance_cm": 150.0},
        {"window_width_cm": 60.0},
        {"window_height_cm": 50.0},
    ],
)
def test_whatever_stands_in_the_way_takes_light(said):
    assert light(**said) < light()


def test_a_place_in_the_dark_of_a_room_still_has_what_walls_send_back():
    deep = light(facing_deg=0.0, glass_distance_cm=800.0)
    assert 0.05 < deep < 1.0


def test_a_reading_at_the_leaf_scales_what_was_computed():
    assert light(light_ratio=0.5) == pytest.approx(0.5 * light())


def test_without_a_spot_a_window_has_its_usual_share():
    here = bench(facing_deg=90.0)
    share = LIBRARY.shelters[Exposure.WINDOW].light_frac.value
    told = rows_on(JUNE, here, None)
    assert told.shortwave_w_m2 == pytest.approx(share * JUNE.shortwave_w_m2)


def test_crowns_get_window_light_and_no_beam_from_above():
    air = air_on(JUNE, bench(facing_deg=90.0))
    assert np.all(air.beam_w_m2 == 0)
    assert air.window_w_m2.max() > 100
    assert np.all(air.sky_w_m2 < 0.2 * np.maximum(air.window_w_m2, 1))
    assert air.turbulence_ratio == 1.0


def test_close_to_cold_single_glass_it_is_colder_than_in_the_room():
    frost = weather("2026-01-15", mean_c=-6.0, clear=0.3)

    def low_c(**said):
        here = bench(facing_deg=0.0, winter_c=20.0, **said)
        return last_day(rows_on(frost, here).air_temperature_c).min()

    single = low_c(glazing="single", glass_distance_cm=5.0)
    double = low_c(glazing="double", glass_distance_cm=5.0)
    away = low_c(glazing="single", glass_distance_cm=150.0)
    assert single < double < 20
    assert single < 13
    assert away > 19.9


def test_a_cold_pane_draws_heat_and_a_warm_room_gives_none_back():
    frost = weather("2026-01-15", mean_c=-6.0)
    air = air_on(frost, bench(facing_deg=0.0, glazing="single"))
    assert np.all(air.longwave_w_m2 < 0)
    assert np.all(air.longwave_w_m2 > -120)


def test_air_by_the_glass_has_the_vapour_of_the_room():
    here = bench(facing_deg=0.0, winter_c=20.0)
    near, away = (
        vapour_of(rows_on(DECEMBER, replace(here, glass_distance_cm=d)))
        for d in (5.0, 300.0)
    )
    assert near == pytest.approx(away)


def test_a_described_room_looks_out_of_its_window_too():
    there = bench(Exposure.ROOM, facing_deg=180.0, glass_distance_cm=300.0)
    window = bench(facing_deg=180.0, glass_distance_cm=300.0)
    assert rows_on(JUNE, there).shortwave_w_m2 == pytest.approx(
        rows_on(JUNE, window).shortwave_w_m2
    )


def test_an_unknown_glazing_is_taken_as_the_usual_one():
    assert light(glazing="of a kind nobody knows") == light(glazing="double")
