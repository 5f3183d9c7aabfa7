"""A crown of leaves, checked by its printed figures and by throwing rays."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from arbuscula.science.water.crown import (
    crown_light,
    crown_of_leaf_area,
    diffuse_area_m2,
    global_w_m2,
    silhouette_m2,
    transmitted_frac,
)
from tests.science.water.four_days import CROWN, DAYS, OPTICS


@pytest.mark.parametrize(
    ("elevation_deg", "printed"), [(0, 0.06220), (30, 0.07411), (90, 0.10179)]
)
def test_the_silhouette_as_printed(elevation_deg, printed):
    got = silhouette_m2(CROWN, np.radians(elevation_deg))
    assert got == pytest.approx(printed, abs=6e-6)  # print rounding


@pytest.mark.parametrize(
    ("depth", "printed"), [(0.5, 0.61639), (1, 0.39304), (2, 0.17797)]
)
def test_the_light_between_leaves_as_printed(depth, printed):
    up_rad = np.radians(40)
    area_m2 = depth * silhouette_m2(CROWN, up_rad) / (0.5 * OPTICS.clumping_frac)
    crown = replace(CROWN, leaf_area_m2=float(area_m2))
    assert transmitted_frac(crown, OPTICS, up_rad) == pytest.approx(printed, abs=6e-6)


def test_light_from_everywhere_as_printed():
    assert diffuse_area_m2(CROWN, OPTICS) == pytest.approx(0.05584, abs=6e-6)


def test_rays_thrown_at_random_agree():
    """Path lengths through a ball, drawn: the closed form within three errors."""
    rng = np.random.default_rng(7)
    across = np.sqrt(rng.random(200_000))  # distance from the axis of the ray
    depth = 1.2
    through = np.exp(-1.5 * depth * np.sqrt(1 - across**2))
    area_m2 = depth * np.pi * 0.15**2 / (0.5 * OPTICS.clumping_frac)
    ball = replace(
        CROWN, half_width_m=0.15, half_height_m=0.15, leaf_area_m2=float(area_m2)
    )
    error = through.std() / np.sqrt(through.size)
    assert abs(transmitted_frac(ball, OPTICS, 0.3) - through.mean()) < 3 * error


@given(st.floats(0.001, 5), st.floats(0, 1.57))
def test_a_crown_takes_no_more_than_meets_it(leaf_area_m2, up_rad):
    crown = crown_of_leaf_area(leaf_area_m2, 0.02)
    through = transmitted_frac(crown, OPTICS, up_rad)
    assert 0 <= through <= 1
    thin = replace(crown, leaf_area_m2=leaf_area_m2 * 1e-5)
    assert transmitted_frac(thin, OPTICS, up_rad) == pytest.approx(1, abs=1e-4)


def test_light_on_the_leaves_adds_up_to_the_light_taken():
    air = DAYS["hot"]
    light = crown_light(CROWN, OPTICS, air)
    on_leaves = light.sunlit_m2 * light.on_sunlit_w_m2
    on_leaves = on_leaves + light.shaded_m2 * light.on_shaded_w_m2
    up = np.maximum(air.sun_elevation_rad, 0)
    beam = (
        air.beam_w_m2
        * silhouette_m2(CROWN, up)
        * (1 - transmitted_frac(CROWN, OPTICS, up))
    )
    around = 2 * diffuse_area_m2(CROWN, OPTICS)
    diffuse = around * (air.sky_w_m2 + OPTICS.ground_albedo_frac * global_w_m2(air))
    assert on_leaves == pytest.approx(beam + diffuse, rel=1e-12)


def test_noon_of_the_hot_day_as_printed():
    light = crown_light(CROWN, OPTICS, DAYS["hot"])
    assert light.sunlit_m2[12] == pytest.approx(0.1268, abs=6e-5)
    assert light.on_sunlit_w_m2[12] == pytest.approx(468.22, abs=0.05)
    assert light.on_shaded_w_m2[12] == pytest.approx(187.79, abs=0.05)


def test_behind_a_window_some_leaves_are_lit_and_some_are_not():
    light = crown_light(CROWN, OPTICS, DAYS["summer window"])
    assert 0 < light.sunlit_m2[8] < CROWN.leaf_area_m2
    assert light.on_sunlit_w_m2[8] > light.on_shaded_w_m2[8]
