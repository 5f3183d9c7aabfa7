"""Container and retention: what must hold for any pot and any medium."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from arbuscula.kinds.pot import Pot
from arbuscula.kinds.substrate import Curve, Pores
from arbuscula.science import container, retention
from tests.substrates import library_substrates

SUBSTRATES = library_substrates()
ROOTS_FRAC = 0.1
FLOAT64 = 1e-12  # sums in another order


@st.composite
def families(draw):
    """Narrow pores empty slowly; n is kept small there, or nothing would move."""
    alpha_per_cm = draw(st.floats(0.0005, 1.0))
    most_n = 6.0 if alpha_per_cm > 0.02 else 2.0
    return Pores(
        volume_frac=draw(st.floats(0.05, 0.3)),
        alpha_per_cm=alpha_per_cm,
        shape_n=draw(st.floats(1.2, most_n)),
    )


@st.composite
def curves(draw):
    parts = draw(st.lists(families(), min_size=1, max_size=3))
    return Curve(residual_frac=draw(st.floats(0, 0.1)), parts=tuple(parts))


@st.composite
def pots(draw, taper_frac=None):
    tapers = st.floats(0.5, 1.0) if taper_frac is None else st.just(taper_frac)
    return Pot(
        shape=draw(st.sampled_from(["box", "oval"])),
        length_mm=draw(st.floats(60, 500)),
        width_mm=draw(st.floats(60, 500)),
        depth_mm=draw(st.floats(20, 250)),
        taper_frac=draw(tapers),
    )


mixes = st.dictionaries(
    st.sampled_from(sorted(SUBSTRATES)), st.floats(0.05, 5.0), min_size=1
)


def at_depth(pot, depth_mm):
    return Pot(
        shape=pot.shape,
        length_mm=pot.length_mm,
        width_mm=pot.width_mm,
        depth_mm=depth_mm,
        taper_frac=pot.taper_frac,
    )


@given(curve=curves(), pot=pots())
def test_capacity_lies_between_what_stays_and_what_fits(curve, pot):
    capacity_frac = container.container_capacity_frac(curve, pot)
    full_frac = retention.saturated_frac(curve)
    assert curve.residual_frac - FLOAT64 <= capacity_frac <= full_frac + FLOAT64


@given(curve=curves(), pot=pots())
def test_capacity_lies_between_the_rim_s_water_and_the_hole_s(curve, pot):
    capacity_frac = container.container_capacity_frac(curve, pot)
    at_rim_frac = retention.water_frac(curve, pot.depth_mm / 10)
    at_hole_frac = retention.water_frac(curve, 0.0)
    assert at_rim_frac - FLOAT64 <= capacity_frac <= at_hole_frac + FLOAT64


@given(curve=curves(), pot=pots(), deeper_mm=st.floats(5, 200))
def test_a_deeper_pot_has_a_higher_share_of_air(curve, pot, deeper_mm):
    deep = at_depth(pot, pot.depth_mm + deeper_mm)
    assert container.air_frac(curve, deep) > container.air_frac(curve, pot)


@given(curve=curves(), pot=pots(taper_frac=1.0), deeper_mm=st.floats(5, 200))
def test_a_deeper_straight_pot_holds_no_less_water_in_all(curve, pot, deeper_mm):
    """1e-5 is the integral's own error where all water sits at the bottom."""
    deep = at_depth(pot, pot.depth_mm + deeper_mm)
    deep_ml, shallow_ml = (
        container.capacity_ml(curve, each, roots_frac=ROOTS_FRAC)
        for each in (deep, pot)
    )
    assert deep_ml > (1 - 1e-5) * shallow_ml


@given(curve=curves(), pot=pots(taper_frac=0.9), narrower_frac=st.floats(0.4, 0.8))
def test_a_straighter_pot_holds_a_larger_share_of_water(curve, pot, narrower_frac):
    """The wide top of a leaning one is its dry part."""
    leaning = Pot(
        shape=pot.shape,
        length_mm=pot.length_mm,
        width_mm=pot.width_mm,
        depth_mm=pot.depth_mm,
        taper_frac=narrower_frac,
    )
    straight_frac = container.container_capacity_frac(curve, pot)
    assert straight_frac > container.container_capacity_frac(curve, leaning)


@given(curve=curves(), pot=pots(), suction_cm=st.floats(0.1, 20))
def test_a_layer_that_pulls_never_wets(curve, pot, suction_cm):
    pulled_frac = container.container_capacity_frac(
        curve, pot, bottom_suction_cm=suction_cm
    )
    assert pulled_frac < container.container_capacity_frac(curve, pot)


@given(curve=curves(), pot=pots())
def test_water_air_and_solids_fill_the_pot(curve, pot):
    """Capacity, air and what cannot be filled make one volume."""
    whole_ml = container.volume_ml(pot) * (1 - ROOTS_FRAC)
    air_ml = container.air_frac(curve, pot) * whole_ml
    solid_ml = (1 - retention.saturated_frac(curve)) * whole_ml
    held_ml = container.capacity_ml(curve, pot, roots_frac=ROOTS_FRAC)
    assert held_ml + air_ml + solid_ml == pytest.approx(whole_ml, rel=1e-9)


@given(curve=curves(), pot=pots())
def test_some_water_is_usable(curve, pot):
    usable_ml = container.usable_ml(
        curve, pot, stop_suction_cm=1000, roots_frac=ROOTS_FRAC
    )
    capacity_ml = container.capacity_ml(curve, pot, roots_frac=ROOTS_FRAC)
    assert 0 < usable_ml <= capacity_ml


@given(curve=curves(), suctions=st.lists(st.floats(-5, 1e5), min_size=1, max_size=6))
def test_one_suction_and_many_agree(curve, suctions):
    held = retention.water_frac(curve, np.array(suctions))
    one_by_one = [retention.water_frac(curve, suction) for suction in suctions]
    assert held == pytest.approx(one_by_one, abs=FLOAT64)


@given(pot=pots(), heights=st.lists(st.floats(0, 2), min_size=1, max_size=6))
def test_one_height_and_many_agree(pot, heights):
    areas = container.area_cm2(pot, np.array(heights))
    assert areas == pytest.approx([container.area_cm2(pot, z) for z in heights])


@given(curve=curves(), suction_cm=st.floats(0, 1e4), more=st.floats(1.01, 100))
def test_more_suction_leaves_less_water(curve, suction_cm, more):
    wet, dry = (
        retention.water_frac(curve, suction_cm),
        retention.water_frac(curve, suction_cm * more + 0.1),
    )
    assert dry <= wet


@given(curve=curves(), suction_cm=st.floats(1, 1000))
def test_a_curve_turned_round_and_back_is_itself(curve, suction_cm):
    """In water, not in suction: where a curve is flat, many suctions fit."""
    held_frac = retention.water_frac(curve, suction_cm)
    back_cm = retention.suction_holding_cm(curve, held_frac)
    assert retention.water_frac(curve, back_cm) == pytest.approx(held_frac, abs=1e-9)


@given(mix=mixes, scale=st.floats(0.1, 50))
def test_a_recipe_may_be_written_on_any_scale(mix, scale):
    scaled = {key: share * scale for key, share in mix.items()}
    once, twice = (retention.mix_curve(m, SUBSTRATES) for m in (mix, scaled))
    held, held_scaled = (retention.water_frac(curve, 7.0) for curve in (once, twice))
    assert held == pytest.approx(held_scaled, abs=FLOAT64)


@given(mix=mixes, suction_cm=st.floats(0, 2000))
def test_a_mix_holds_no_more_than_its_wettest_part(mix, suction_cm):
    alone = [
        retention.water_frac(retention.substrate_curve(SUBSTRATES[key]), suction_cm)
        for key in mix
    ]
    mixed = retention.water_frac(retention.mix_curve(mix, SUBSTRATES), suction_cm)
    assert min(alone) - FLOAT64 <= mixed <= max(alone) + FLOAT64


@given(mix=mixes, fill_ml=st.floats(10, 50_000))
def test_what_is_bought_fills_the_pot_if_nothing_shrinks(mix, fill_ml):
    bought = container.parts_to_buy_l(mix, fill_ml=fill_ml)
    assert sum(part.low for part in bought.values()) == pytest.approx(fill_ml / 1000)
    assert all(part.low <= part.value <= part.high for part in bought.values())
