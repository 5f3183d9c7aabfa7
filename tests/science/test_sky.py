"""What planes, benches and places behind windows see of the sky."""

from dataclasses import replace

import numpy as np
import pytest

from arbuscula.science import sky

PANE = sky.Opening(left_m=-0.6, right_m=0.6, bottom_m=-0.2, top_m=1.0, distance_m=0.5)


def summed(opening, weight, parts_n=600):
    """Return a weight summed over the opening's directions, small part by part."""
    middles = (np.arange(parts_n) + 0.5) / parts_n
    x = opening.left_m + (opening.right_m - opening.left_m) * middles[:, None]
    y = opening.bottom_m + (opening.top_m - opening.bottom_m) * middles
    wide, high = (
        opening.right_m - opening.left_m,
        opening.top_m - opening.bottom_m,
    )
    d = opening.distance_m
    away = np.sqrt(x * x + y * y + d * d)
    solid = d / away**3 * wide * high / parts_n**2
    return float(np.sum(weight(d / away) * solid))


@pytest.mark.parametrize("distance_m", [0.1, 0.5, 1.0, 3.0])
def test_an_opening_fills_what_its_parts_fill(distance_m):
    """1e-4: the parts are squares of 2 mm, the nearest place is 10 cm away."""
    opening = replace(PANE, distance_m=distance_m)
    plane = summed(opening, lambda cosine: cosine / np.pi)
    sphere = summed(opening, lambda cosine: 0 * cosine + 1 / (4 * np.pi))
    assert sky.opening_frac(opening) == pytest.approx(plane, abs=1e-4)
    assert sky.opening_sphere_frac(opening) == pytest.approx(sphere, abs=1e-4)


def test_far_away_an_opening_falls_with_the_square_of_the_distance():
    """1 %: at thirty widths the opening is nearly a point."""
    far, twice = (sky.opening_frac(replace(PANE, distance_m=d)) for d in (36, 72))
    assert far / twice == pytest.approx(4, rel=0.01)


def test_at_the_glass_an_opening_is_half_the_sky_and_half_the_ground():
    near = replace(PANE, distance_m=1e-5)
    assert sky.opening_frac(near) == pytest.approx(1, abs=1e-3)
    above = replace(near, bottom_m=0.0)
    assert sky.opening_frac(above) == pytest.approx(0.5, abs=1e-3)


def test_a_plane_faces_nothing_through_a_closed_opening():
    assert sky.opening_frac(replace(PANE, top_m=PANE.bottom_m)) == 0


def test_the_sun_straight_ahead_falls_straight_on_and_sideways_not_at_all():
    def incidence(elevation, azimuth):
        return sky.incidence_deg(
            elevation_deg=elevation, azimuth_deg=azimuth, facing_deg=350.0
        )

    assert incidence(0.0, 350.0) == pytest.approx(0, abs=1e-5)
    assert incidence(30.0, 350.0) == pytest.approx(30)
    assert incidence(0.0, 80.0) == pytest.approx(90)
    assert incidence(10.0, 170.0) > 90


def test_the_profile_is_the_height_straight_ahead_and_rises_to_the_side():
    def profile(azimuth):
        return sky.profile_deg(elevation_deg=20.0, azimuth_deg=azimuth, facing_deg=0.0)

    assert profile(0.0) == pytest.approx(20)
    assert 20 < profile(60.0) < 90
    assert profile(180.0) == pytest.approx(160)


def test_a_turn_is_counted_the_short_way():
    assert sky.turned_deg(azimuth_deg=10.0, facing_deg=350.0) == pytest.approx(20)
    assert sky.turned_deg(azimuth_deg=350.0, facing_deg=10.0) == pytest.approx(-20)


def light(**changed):
    said = {
        "beam_normal_w_m2": 700.0,
        "diffuse_w_m2": 150.0,
        "shortwave_w_m2": 500.0,
        "elevation_deg": 30.0,
        "azimuth_deg": 180.0,
        "facing_deg": 180.0,
        "obstruction_deg": 0.0,
        "ground_albedo_frac": 0.2,
        "opposite_ratio": 0.1,
    }
    return sky.plane_light(**(said | changed))


def test_an_upright_plane_has_half_the_sky_and_half_the_ground():
    told = light()
    assert told.beam_w_m2 == pytest.approx(700 * np.cos(np.radians(30)))
    assert told.sky_w_m2 == pytest.approx(75)
    assert told.ground_w_m2 == pytest.approx(50)
    assert told.opposite_w_m2 == pytest.approx(0)


def test_a_wall_opposite_hides_the_sun_that_stands_lower():
    assert light(obstruction_deg=29.0).beam_w_m2 > 0
    assert light(obstruction_deg=31.0).beam_w_m2 == 0


def test_the_sun_behind_or_below_gives_no_beam():
    assert light(facing_deg=0.0).beam_w_m2 == 0
    assert light(elevation_deg=-5.0).beam_w_m2 == 0


def test_sky_behind_a_wall_comes_back_tenfold_dimmer():
    told = light(obstruction_deg=30.0)
    assert told.sky_w_m2 == pytest.approx(150 / 4)
    assert told.opposite_w_m2 == pytest.approx(0.1 * 150 / 4)


def test_a_level_place_between_two_edges():
    assert sky.level_sky_frac(low_deg=0.0, high_deg=180.0) == pytest.approx(1)
    assert sky.level_sky_frac(low_deg=0.0, high_deg=90.0) == pytest.approx(0.5)
    assert sky.level_sky_frac(low_deg=50.0, high_deg=40.0) == 0


@pytest.mark.parametrize("rim_deg", [0.0, 20.0, 45.0, 80.0])
def test_a_rim_all_around_and_the_sky_it_leaves(rim_deg):
    share = np.cos(np.radians(rim_deg)) ** 2
    assert sky.horizon_deg(share) == pytest.approx(rim_deg, abs=1e-6)
