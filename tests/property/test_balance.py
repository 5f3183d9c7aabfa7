"""Laws of one step, for any pot and any weather."""

from dataclasses import fields, replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from arbuscula.kinds.water import Ball, PotWater
from arbuscula.science.water.balance import after_step, usable_frac

shares = st.floats(0, 1)
ROUNDING_ML = 1e-6


@st.composite
def balls(draw):
    capacity_ml = draw(st.floats(20, 8000))
    return Ball(
        capacity_ml=capacity_ml,
        stop_ml=capacity_ml * draw(st.floats(0.02, 0.8)),
        top_area_cm2=draw(st.floats(10, 3000)),
        crown_area_cm2=draw(st.floats(10, 9000)),
        gap_frac=draw(st.floats(0.02, 1)),
        canopy_store_ml=draw(st.floats(0, 300)),
        stage_1_mm=draw(st.floats(1, 8)),
        stage_2_mm=draw(st.floats(9, 30)),
        stress_below_frac=draw(st.floats(0.1, 0.7)),
        shed_below_frac=draw(st.floats(0.02, 0.4)),
        shed_frac=draw(st.floats(0, 0.9)),
    )


@st.composite
def holdings(draw, ball):
    return PotWater(
        water_ml=ball.capacity_ml * draw(shares),
        surface_depletion_mm=ball.stage_2_mm * draw(shares),
        canopy_ml=ball.canopy_store_ml * draw(shares),
    )


asked = st.fixed_dictionaries(
    {
        "rain_mm": st.floats(0, 60),
        "given_ml": st.floats(0, 5000),
        "leaf_ml": st.floats(0, 900),
        "surface_mm": st.floats(0, 2),
        "wall_ml": st.floats(0, 100),
    }
)


@given(st.data(), asked)
def test_no_water_is_made_or_lost(data, asked):
    ball = data.draw(balls())
    before = data.draw(holdings(ball))
    after, passed = after_step(before, ball, **asked)
    gone = passed.transpired_ml + passed.evaporated_ml + passed.wall_ml
    assert abs(before.water_ml + passed.gained_ml - gone - after.water_ml) < ROUNDING_ML
    assert -ROUNDING_ML <= after.water_ml <= ball.capacity_ml + ROUNDING_ML
    for part in fields(passed):
        assert getattr(passed, part.name) >= -ROUNDING_ML, part.name
    most_ml = asked["given_ml"] + asked["rain_mm"] * ball.top_area_cm2 / 10
    held_ml = before.canopy_ml
    arrived_ml = passed.gained_ml + passed.drained_ml
    assert arrived_ml <= most_ml + held_ml + ROUNDING_ML
    assert passed.transpired_ml <= asked["leaf_ml"] + ROUNDING_ML
    assert 0 <= after.canopy_ml <= ball.canopy_store_ml + ROUNDING_ML


@given(st.data(), asked, shares)
def test_more_water_before_is_never_less_after(data, asked, more):
    """Hence more water is never due sooner."""
    ball = data.draw(balls())
    little = data.draw(holdings(ball))
    room_ml = ball.capacity_ml - little.water_ml
    much = replace(little, water_ml=little.water_ml + more * room_ml)
    left = [after_step(w, ball, **asked)[0].water_ml for w in (little, much)]
    assert left[1] >= left[0] - ROUNDING_ML


@given(st.data(), asked, st.floats(0, 3000))
def test_a_longer_watering_never_leaves_less(data, asked, longer_ml):
    ball = data.draw(balls())
    before = data.draw(holdings(ball))
    short = after_step(before, ball, **asked)[0]
    given_ml = asked["given_ml"] + longer_ml
    long = after_step(before, ball, **asked | {"given_ml": given_ml})[0]
    # wetting the surface wakes its evaporation: that much may be lost again
    woken_ml = asked["surface_mm"] * ball.top_area_cm2 / 10
    assert long.water_ml >= short.water_ml - woken_ml - ROUNDING_ML
    soak = after_step(before, ball, **asked | {"given_ml": np.inf})[0]
    assert soak.water_ml >= short.water_ml - woken_ml - ROUNDING_ML


@given(st.data(), asked, st.floats(1, 3))
def test_more_leaf_never_leaves_more(data, asked, times):
    """Hence more leaf is never due later."""
    ball = data.draw(balls())
    before = data.draw(holdings(ball))
    leafier = asked | {"leaf_ml": asked["leaf_ml"] * times}
    left = [after_step(before, ball, **a)[0] for a in (asked, leafier)]
    whole = [w.water_ml + w.canopy_ml for w in left]
    assert whole[1] <= whole[0] + ROUNDING_ML


@given(st.data(), asked)
def test_arrays_say_what_numbers_say(data, asked):
    ball = data.draw(balls())
    before = data.draw(holdings(ball))
    one, _ = after_step(before, ball, **asked)
    three = PotWater(
        **{f.name: np.full(3, getattr(before, f.name)) for f in fields(before)}
    )
    many, _ = after_step(three, ball, **asked)
    for part in fields(one):
        assert np.all(getattr(many, part.name) == getattr(one, part.name))


@given(st.data())
def test_the_usable_share_runs_from_one_to_nil(data):
    ball = data.draw(balls())
    assert usable_frac(ball.capacity_ml, ball) == 1
    assert usable_frac(ball.stop_ml, ball) == 0
