import numpy as np
import pytest

from arbuscula.kinds.water import PotWater
from arbuscula.state.forecast import day_ratio, first_below_s
from arbuscula.state.water import (
    Course,
    Forcing,
    bounds_between,
    course_of,
    rain_between_mm,
    steps_of,
    unknown_start,
    weighed,
)
from tests.state.made import LIBRARY, MEMBERS, TREE, made_forcing, made_rows

HOUR_S = 3600.0
ROWS = made_rows(days_n=4)
FORCING = made_forcing(ROWS)
START = PotWater(
    water_ml=MEMBERS.ball.capacity_ml,
    surface_depletion_mm=np.zeros(200),
    canopy_ml=np.zeros(200),
)


def run(bounds_s, start=START, given=None, **more):
    steps = steps_of(FORCING, bounds_s, given or {})
    return course_of(MEMBERS, steps, start, wall_cm2=0.0, **more)


def test_any_cut_of_time_holds_the_same_rain_and_demand():
    whole = np.array([ROWS.from_s[0], ROWS.until_s[-1]])
    odd = np.sort(np.append(whole, ROWS.from_s[0] + np.array([100.0, 40_000, 77_777])))
    coarse, fine = (steps_of(FORCING, b, {}) for b in (whole, odd))
    assert fine.rain_mm.sum() == pytest.approx(ROWS.rain_mm.sum())
    assert fine.leaf_ml.sum(axis=1) == pytest.approx(coarse.leaf_ml[:, 0])


def test_a_row_holds_until_the_next_one():
    raining = int(np.argmax(ROWS.rain_mm > 0))
    half = ROWS.from_s[raining] + 1800
    got = rain_between_mm(FORCING, np.array([ROWS.from_s[raining], half]))
    assert got[0] == pytest.approx(ROWS.rain_mm[raining] / 2)


def test_replay_in_two_parts_is_replay_in_one():
    bounds = bounds_between(ROWS.from_s[0], ROWS.until_s[-1])
    middle = 37
    given = {float(bounds[10]): 250.0, float(bounds[60]): np.inf}
    whole = run(bounds, given=given)
    first = run(bounds[: middle + 1], given=given)
    second = run(bounds[middle:], start=first.last, given=given)
    assert np.array_equal(second.last.water_ml, whole.last.water_ml)
    assert np.array_equal(whole.water_ml[:, :middle], first.water_ml[:, :middle])


def test_what_is_lost_and_what_is_left_and_given_add_up():
    bounds = bounds_between(ROWS.from_s[0], ROWS.until_s[-1])
    course = run(bounds, given={float(bounds[30]): 180.0})
    held = course.water_ml + course.canopy_ml
    assert held[:, 0] + 180 - course.lost_ml.sum(axis=1) == pytest.approx(held[:, -1])


def test_a_weighing_sets_the_water_of_every_member():
    bounds = bounds_between(ROWS.from_s[0], ROWS.from_s[0] + 2 * HOUR_S)
    mass = np.full(bounds.size, np.nan)
    mass[1] = 3000.0
    course = run(bounds, weighed_g=mass)
    told = weighed(
        PotWater(
            water_ml=course.water_ml[:, 1], surface_depletion_mm=0.0, canopy_ml=0.0
        ),
        MEMBERS,
        3000.0,
    )
    fall = told.water_ml - course.water_ml[:, 2]
    assert np.all(fall >= 0)
    assert np.all(fall < 60)


def test_an_unknown_start_lies_anywhere_in_the_usable_water():
    ball = MEMBERS.ball
    start = unknown_start(ball, "fig")
    share = (start.water_ml - ball.stop_ml) / (ball.capacity_ml - ball.stop_ml)
    assert np.sort(share) == pytest.approx((np.arange(200) + 0.5) / 200)


def a_course(water_ml):
    water = np.tile(np.asarray(water_ml, dtype=float), (200, 1))
    nil = np.zeros_like(water)
    last = PotWater(water_ml=water[:, -1], surface_depletion_mm=0.0, canopy_ml=0.0)
    return Course(water_ml=water, canopy_ml=nil, lost_ml=nil[:, 1:], last=last)


def test_the_moment_of_a_line_is_found_within_its_step():
    from dataclasses import replace

    ball = replace(MEMBERS.ball, capacity_ml=1000.0, stop_ml=0.0)
    bounds = np.array([0.0, 3600, 7200, 10_800])
    falling = a_course([900, 700, 300, 100])
    assert first_below_s(falling, ball, bounds, 0.5) == pytest.approx(5400)
    assert np.all(first_below_s(falling, ball, bounds, 0.95) == 0)
    assert np.all(np.isinf(first_below_s(falling, ball, bounds, 0.05)))


def test_a_day_is_off_as_a_whole_and_the_next_one_anew():
    bounds = np.arange(0, 49) * HOUR_S
    off = day_ratio(bounds, LIBRARY.demand.unknown, "fig")
    assert np.all(off[:, 0] == off[:, 23])
    assert np.mean(off[:, 23] == off[:, 24]) < 0.05
    assert np.log(off[:, 0]).std() == pytest.approx(
        np.hypot(0.08, 0.08), rel=0.2
    )  # two draws of 200 each


def test_forcing_has_members_first():
    assert isinstance(FORCING, Forcing)
    assert FORCING.leaf_ml.shape == (200, ROWS.from_s.size + 1)
    assert TREE.species.latin == "Ficus microcarpa"
