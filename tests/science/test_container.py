"""Container: what a pot of this size and depth holds."""

import csv
import math

import numpy as np
import pytest
from scipy.integrate import quad

from arbuscula.kinds.pot import Pot
from arbuscula.kinds.substrate import Curve, Pores
from arbuscula.kinds.values import Grade
from arbuscula.science import container, retention
from arbuscula.units import ml_from_mm_cm2
from tests.substrates import LIBRARY

USUAL = {"stop_suction_cm": 1000, "roots_frac": 0.10}
OVAL = Pot(shape="oval", length_mm=230, width_mm=160, depth_mm=42)
BOX = Pot(shape="box", length_mm=250, width_mm=180, depth_mm=70)
ROUND = Pot(shape="round", diameter_mm=180, depth_mm=90, taper_frac=0.7)


def curve_of(*families, residual_frac=0.0):
    parts = (Pores(volume_frac=v, alpha_per_cm=a, shape_n=n) for v, a, n in families)
    return Curve(residual_frac=residual_frac, parts=tuple(parts))


IDEAL = curve_of((0.761, 0.1587, 1.539), residual_frac=0.109)
BARK = curve_of((0.62, 0.091, 1.66), residual_frac=0.13)
MINERAL = curve_of(
    (0.7 * 0.275, 0.36, 4),
    (0.7 * 0.375, 0.0005, 1.6),
    (0.3 * 0.62, 0.091, 1.66),
    residual_frac=0.3 * 0.13,
)
# 1.2 L at 42 mm: the 290 cm2 of the table are 1200 mL over 4.2 cm, rounded.
SMALL_OVAL = Pot(
    shape="oval", length_mm=240, width_mm=1200 / 4.2 / 24 * 40 / math.pi, depth_mm=42
)


@pytest.mark.parametrize(
    ("curve", "capacity_frac", "usable_ml", "due_ml", "late_ml"),
    [
        (IDEAL, 0.824, 718.2, 359.1, 538.6),
        (BARK, 0.733, 616.8, 308.4, 462.6),
        (MINERAL, 0.623, 365.3, 182.6, 274.0),
    ],
    ids=["ideal", "bark", "mineral"],
)
def test_a_small_oval_of_three_mixes(curve, capacity_frac, usable_ml, due_ml, late_ml):
    """Our own table of usable water. Printed to .001 and to .1 mL."""
    found_frac = container.container_capacity_frac(curve, SMALL_OVAL)
    found_ml = container.usable_ml(curve, SMALL_OVAL, **USUAL)
    assert found_frac == pytest.approx(capacity_frac, abs=0.0005)
    assert found_ml == pytest.approx(usable_ml, abs=0.05)
    assert found_ml * 0.5 == pytest.approx(due_ml, abs=0.05)
    assert found_ml * 0.75 == pytest.approx(late_ml, abs=0.05)


def test_the_top_of_a_box_an_oval_and_a_round_pot():
    assert container.top_area_cm2(BOX) == pytest.approx(450)
    assert container.top_area_cm2(OVAL) == pytest.approx(math.pi / 4 * 23 * 16)
    assert container.top_area_cm2(ROUND) == pytest.approx(math.pi * 9**2)


def test_one_size_given_stands_for_both_and_none_is_a_gap():
    square = Pot(shape="box", length_mm=120, depth_mm=50)
    assert container.top_area_cm2(square) == pytest.approx(144)
    assert np.isnan(container.top_area_cm2(Pot(shape="round", depth_mm=50)))


def test_the_box_of_the_handbook_takes_three_litres():
    """25 x 18 x 7 cm is 3.15 L by arithmetic."""
    assert container.volume_ml(BOX) == pytest.approx(3150)


def test_volume_is_the_sum_of_the_cuts():
    cuts_ml, _ = quad(lambda z: container.area_cm2(ROUND, z), 0, 9)
    assert container.volume_ml(ROUND) == pytest.approx(cuts_ml, rel=1e-9)


def test_a_cut_is_the_top_at_the_rim_and_the_bottom_at_the_hole():
    bottom_cm2, top_cm2 = container.area_cm2(ROUND, np.array([0.0, 9.0]))
    assert top_cm2 == pytest.approx(container.top_area_cm2(ROUND))
    assert bottom_cm2 == pytest.approx(0.7**2 * top_cm2)


def test_the_wall_of_a_straight_box_is_girth_by_depth():
    assert container.wall_area_cm2(BOX) == pytest.approx(2 * (25 + 18) * 7)


def test_the_wall_of_a_leaning_round_pot_is_a_cone_s():
    slant_cm = math.hypot(9, 9 * 0.3)
    cone_cm2 = math.pi * (9 + 9 * 0.7) * slant_cm
    assert container.wall_area_cm2(ROUND) == pytest.approx(cone_cm2)


def test_the_wall_of_a_leaning_box_is_near_four_trapezia():
    """0.5 % is what the docstring owns up to."""
    leaning = Pot(shape="box", length_mm=200, width_mm=100, depth_mm=80, taper_frac=0.8)
    long_cm2 = (20 + 16) / 2 * math.hypot(8, 1)
    short_cm2 = (10 + 8) / 2 * math.hypot(8, 2)
    assert container.wall_area_cm2(leaning) == pytest.approx(
        2 * (long_cm2 + short_cm2), rel=0.005
    )


def test_the_wall_of_a_leaning_oval_is_near_the_true_surface():
    """Summed from 2,000 facets; 0.5 % is what the docstring owns up to."""
    oval = Pot(shape="oval", length_mm=300, width_mm=150, depth_mm=60, taper_frac=0.8)
    turn = np.linspace(0, 2 * np.pi, 2001)
    rim = np.stack([15 * np.cos(turn), 7.5 * np.sin(turn), np.full(turn.shape, 6.0)])
    foot = rim * np.array([[0.8], [0.8], [0.0]])
    up, along = (rim - foot)[:, :-1], np.diff((rim + foot) / 2)
    facets_cm2 = np.linalg.norm(np.cross(up, along, axis=0), axis=0)
    assert container.wall_area_cm2(oval) == pytest.approx(facets_cm2.sum(), rel=0.005)


def test_capacity_agrees_with_an_adaptive_integral():
    """The hardest: 6 mm grains in 30 cm. 1e-6 is far below any weighing."""
    coarse, tall = (
        curve_of((0.5, 0.92, 7)),
        Pot(shape="round", diameter_mm=200, depth_mm=300, taper_frac=0.6),
    )
    held_ml, _ = quad(
        lambda z: retention.water_frac(coarse, z) * container.area_cm2(tall, z),
        0,
        30,
        points=[1.1],
        epsabs=1e-9,
    )
    capacity_frac = container.container_capacity_frac(coarse, tall)
    assert capacity_frac == pytest.approx(held_ml / container.volume_ml(tall), abs=1e-6)


def test_roots_hold_no_water():
    bare_ml = container.capacity_ml(BARK, OVAL, roots_frac=0.0)
    rooted_ml = container.capacity_ml(BARK, OVAL, roots_frac=0.25)
    assert rooted_ml == pytest.approx(0.75 * bare_ml)


def test_usable_water_is_capacity_less_the_stop():
    stop_ml = container.water_at_ml(BARK, OVAL, suction_cm=1000.0, roots_frac=0.1)
    usable_ml = container.usable_ml(BARK, OVAL, **USUAL)
    capacity_ml = container.capacity_ml(BARK, OVAL, roots_frac=0.1)
    assert usable_ml + stop_ml == pytest.approx(capacity_ml)


def test_a_later_stop_leaves_more_to_the_tree():
    sooner_ml, later_ml = (
        container.usable_ml(BARK, OVAL, stop_suction_cm=stop_cm, roots_frac=0.1)
        for stop_cm in (300, 3000)
    )
    assert later_ml > sooner_ml


def test_the_ideal_mix_stays_nearly_full_for_32_mm():
    """Handbook, 3.2 cm as printed."""
    layer_mm = container.saturated_layer_mm(IDEAL, BOX)
    assert layer_mm == pytest.approx(32, abs=0.5)


def test_a_pot_shallower_than_that_is_nearly_full_throughout():
    tray = Pot(shape="box", length_mm=300, width_mm=200, depth_mm=25)
    assert container.saturated_layer_mm(IDEAL, tray) == 25


def test_fines_never_drain_in_a_shallow_pot():
    """6.5 cm mm over 4.2 cm."""
    assert container.finest_draining_grain_mm(OVAL) == pytest.approx(1.55, abs=0.01)


def test_above_a_layer_the_pot_is_shallower_and_keeps_its_top():
    above = container.above_layer(ROUND, layer_mm=30)
    assert above.depth_mm == 60
    assert container.top_area_cm2(above) == container.top_area_cm2(ROUND)
    below_ml, _ = quad(lambda z: container.area_cm2(ROUND, z), 0, 3)
    left_ml = container.volume_ml(ROUND) - below_ml
    assert container.volume_ml(above) == pytest.approx(left_ml)


def test_litres_to_buy_cover_the_shrinkage():
    bought = container.parts_to_buy_l({"lava": 1, "pumice": 1}, fill_ml=2000)
    assert bought["lava"].low == pytest.approx(1.0)
    assert bought["lava"].high == pytest.approx(1 / 0.85)
    assert bought["lava"].grade == Grade.ASSUMED


def test_a_single_material_does_not_shrink():
    (lava,) = container.parts_to_buy_l({"lava": 4}, fill_ml=2000).values()
    assert (lava.low, lava.value, lava.high) == (2.0, 2.0, 2.0)


def test_the_nearest_usual_sizes_have_the_same_shape():
    usual = [
        Pot(shape="oval", length_mm=n, width_mm=0.7 * n, depth_mm=45)
        for n in (160, 200, 240, 400)
    ]
    near = container.sizes_near(OVAL, [BOX, ROUND, *usual], most_n=2)
    assert near == [usual[2], usual[1]]


def test_usual_sizes_can_be_pots_and_the_reference_is_one_of_them():
    """An oval of 290 cm2 and 42 mm, that the demand model is told of."""
    table = (LIBRARY / "pots.csv").read_text().splitlines()
    usual = [
        Pot(
            shape=row["shape"],
            **{key: float(row[key]) for key in row if key.endswith("_mm") and row[key]},
        )
        for row in csv.DictReader(table)
    ]
    assert all(container.volume_ml(pot) > 100 for pot in usual)
    (nearest,) = container.sizes_near(SMALL_OVAL, usual, most_n=1)
    assert nearest == OVAL
    assert container.top_area_cm2(nearest) == pytest.approx(290, abs=2)


def test_rain_on_a_tray():
    """Arithmetic: 10 mm on 20 x 15 cm is 300 mL, less what the crown sheds."""
    tray = Pot(shape="box", length_mm=200, width_mm=150, depth_mm=40)
    assert ml_from_mm_cm2(10, container.top_area_cm2(tray)) == pytest.approx(300)
