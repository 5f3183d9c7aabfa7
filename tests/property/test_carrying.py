"""No place is filled beyond what it holds; a colder night is no shorter list."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from arbuscula.kinds.moving import Load, Room
from arbuscula.kinds.round import NightView
from arbuscula.kinds.values import Spread
from arbuscula.plan.carrying import allotted
from arbuscula.rules.cold import bring_in
from arbuscula.science.toppling import tipping_wind_m_s

PLACES = ("house", "sill", "frame")
LOADS = st.lists(
    st.tuples(st.floats(5, 120), st.permutations(PLACES), st.integers(0, 3)),
    max_size=30,
)
ROOMS = st.tuples(
    *[
        st.tuples(
            st.one_of(st.none(), st.integers(0, 12)),
            st.one_of(st.none(), st.floats(0, 400)),
        )
        for _ in PLACES
    ]
)
POSITIVE = st.floats(0.05, 20)


def loads_of(told):
    return [
        Load(key=f"t{n}", width_cm=wide, mass_kg=1.0, may_go=tuple(order[:many]))
        for n, (wide, order, many) in enumerate(told)
    ]


@given(LOADS, ROOMS)
def test_no_place_takes_more_pots_or_metres_than_it_has(told, rooms):
    loads = loads_of(told)
    there = [
        Room(key=key, left_n=pots, left_cm=wide)
        for key, (pots, wide) in zip(PLACES, rooms, strict=True)
    ]
    placed = allotted(loads, there)
    assert placed.keys() == {load.key for load in loads}
    for room in there:
        taken = [load for load in loads if placed[load.key] == room.key]
        assert room.left_n is None or len(taken) <= room.left_n
        wide = sum(load.width_cm for load in taken)
        assert room.left_cm is None or wide <= room.left_cm + 1e-6  # of adding floats
    for load in loads:
        assert placed[load.key] is None or placed[load.key] in load.may_go


@given(
    st.lists(st.floats(-20, 25), min_size=4, max_size=40),
    st.floats(0, 15),
    st.floats(-10, 15),
)
def test_a_colder_night_never_leaves_out_who_came_in_before(lows, colder_k, floor_c):
    def night(low_c):
        low = np.array(low_c)
        return NightView(
            key="fig",
            warn_below_c=floor_c,
            damage_below_c=floor_c - 10,
            warn_frac=float(np.mean(low < floor_c)),
            damage_frac=float(np.mean(low < floor_c - 10)),
            low_c=Spread(p10=0.0, p50=0.0, p90=0.0),
            below_h=Spread(p10=0.0, p50=0.0, p90=0.0),
        )

    before = night(lows)
    after = night([low - colder_k for low in lows])
    after = replace(after, key=before.key)
    assert bring_in(before) is None or bring_in(after) is not None


@given(POSITIVE, POSITIVE, POSITIVE, POSITIVE, st.floats(1.01, 5))
def test_a_heavier_wider_pot_stands_longer_and_a_taller_crown_falls_sooner(
    mass, foot, area, high, more
):
    def tips(**said):
        usual = {
            "mass_kg": mass,
            "half_foot_m": foot,
            "crown_m2": area,
            "crown_height_m": high,
            "drag_ratio": 0.5,
        }
        return tipping_wind_m_s(**{**usual, **said})

    assert tips(mass_kg=mass * more) > tips()
    assert tips(half_foot_m=foot * more) > tips()
    assert tips(crown_m2=area * more) < tips()
    assert tips(crown_height_m=high * more) < tips()
