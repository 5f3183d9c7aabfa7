from dataclasses import replace

import numpy as np
import pytest

from arbuscula.kinds.water import PotWater
from arbuscula.science.water.balance import after_step, surface_reduction_frac
from tests.science.water.four_days import ball, full

NOTHING = {
    "rain_mm": 0.0,
    "given_ml": 0.0,
    "leaf_ml": 0.0,
    "surface_mm": 0.0,
    "wall_ml": 0.0,
}
BALL = ball("ideal")


def holding(water_ml, **changed):
    usual = {"water_ml": water_ml, "surface_depletion_mm": 0.0, "canopy_ml": 0.0}
    return PotWater(**usual | changed)


def after(water, ball=BALL, **asked):
    return after_step(water, ball, **NOTHING | asked)


def test_a_soak_fills_a_ball_that_takes_water():
    water, passed = after(holding(300.0), given_ml=np.inf)
    assert water.water_ml == pytest.approx(BALL.capacity_ml)
    assert passed.gained_ml == pytest.approx(BALL.capacity_ml - 300)


def test_what_a_full_ball_is_given_runs_out():
    water, passed = after(full(BALL), given_ml=250.0)
    assert water.water_ml == BALL.capacity_ml
    assert passed.drained_ml == 250


def test_a_dry_ball_sheds_a_part_of_the_can():
    shedding = replace(BALL, shed_frac=0.4)
    dry = holding(0.05 * BALL.capacity_ml)
    kept = after(dry, given_ml=100.0)[1]
    shed = after(dry, shedding, given_ml=100.0)[1]
    assert kept.gained_ml == 100
    # a third of the way down from the line where shedding begins
    assert shed.gained_ml == pytest.approx(100 * (1 - 0.4 * 2 / 3))
    assert shed.drained_ml == pytest.approx(100 - shed.gained_ml)


def test_leaves_catch_the_first_rain_and_dry_before_they_breathe():
    leafy = replace(BALL, gap_frac=0.2, canopy_store_ml=50.0)
    start = holding(500.0)
    wet, shower = after(start, leafy, rain_mm=0.4)
    assert wet.canopy_ml == pytest.approx(0.4 * leafy.crown_area_cm2 / 10 * 0.8)
    assert shower.gained_ml == pytest.approx(0.4 * leafy.top_area_cm2 / 10 * 0.2)
    dried, passed = after(wet, leafy, leaf_ml=20.0)
    assert passed.dried_ml == pytest.approx(20)
    assert passed.transpired_ml == 0
    assert dried.canopy_ml == pytest.approx(wet.canopy_ml - 20)


def test_a_long_rain_reaches_the_pot_as_if_the_crown_were_not_there():
    """Full leaves let the rain above the pot through: none is made or lost."""
    leafy = replace(BALL, gap_frac=0.2, canopy_store_ml=50.0)
    start = holding(100.0, canopy_ml=50.0)
    _, passed = after(start, leafy, rain_mm=5.0)
    assert passed.gained_ml == pytest.approx(5 * leafy.top_area_cm2 / 10)


def test_rain_on_bare_soil_is_a_tenth_of_a_millilitre_per_millimetre_and_cm2():
    """10 mm on 20 by 15 cm are 300 mL; geometry."""
    tray = replace(BALL, top_area_cm2=300.0, capacity_ml=5000.0, gap_frac=1.0)
    _, passed = after(holding(0.0), tray, rain_mm=10.0)
    assert passed.gained_ml == pytest.approx(300)


def test_a_drying_surface_gives_less_and_a_watering_wakes_it():
    dry = holding(600.0, surface_depletion_mm=12.0)
    slow = after(dry, surface_mm=0.3)[1].evaporated_ml
    woken, _ = after(dry, given_ml=400.0)
    quick = after(woken, surface_mm=0.3)[1].evaporated_ml
    assert slow < quick == pytest.approx(0.3 * BALL.top_area_cm2 / 10)


def test_a_surface_dries_in_two_stages():
    share = surface_reduction_frac(
        np.array([0.0, 4.0, 12.0, 20.0, 25.0]), stage_1_mm=4.0, stage_2_mm=20.0
    )
    assert share.tolist() == [1, 1, 0.5, 0, 0]


def test_a_thirsty_tree_never_draws_below_the_stop():
    low = holding(BALL.stop_ml + 1.0)
    water, passed = after(low, leaf_ml=500.0)
    assert BALL.stop_ml <= water.water_ml
    assert passed.transpired_ml <= 1.0


def test_an_unglazed_wall_takes_its_part():
    water, passed = after(full(BALL), wall_ml=12.0)
    # the closed form of the stress, far from it: all that was asked
    assert passed.wall_ml == pytest.approx(12, rel=0.02)
    assert water.water_ml == pytest.approx(BALL.capacity_ml - passed.wall_ml)
