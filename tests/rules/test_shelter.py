"""Where a tree may be carried, by how hardy it is and how cold it gets there."""

from dataclasses import replace
from pathlib import Path

import pytest

from arbuscula.kinds.moving import Refuge
from arbuscula.kinds.place import Exposure
from arbuscula.kinds.round import NightView
from arbuscula.kinds.values import Spread
from arbuscula.rules.shelter import if_it_stays, if_need_be, may_go, short_of
from arbuscula.start import desk_at

CARRY = desk_at(Path("not-needed")).library().moving.carry


def refuge(key, exposure, low_c):
    low = Spread(p10=low_c - 1, p50=low_c, p90=low_c + 1)
    return Refuge(key=key, exposure=exposure, low_c=low)


FRAME = refuge("frame", Exposure.COLD_FRAME, 3.0)
HOUSE = refuge("house", Exposure.GLASSHOUSE, 14.0)
SILL = refuge("sill", Exposure.WINDOW, 18.0)
ALL = [FRAME, SILL, HOUSE]
FIG = NightView(
    key="fig",
    warn_below_c=10.0,
    damage_below_c=0.0,
    warn_frac=1.0,
    damage_frac=0.5,
    low_c=Spread(p10=-3.0, p50=-2.0, p90=0.0),
    below_h=Spread(p10=8.0, p50=9.0, p90=10.0),
)
JUNIPER = replace(FIG, key="juniper", warn_below_c=-10.0, damage_below_c=-18.0)


def test_a_hardy_tree_goes_to_the_cold_frame_and_never_to_a_warm_house():
    assert may_go(JUNIPER, ALL, CARRY) == ("frame",)


def test_a_house_that_stays_cool_will_do_for_a_hardy_tree():
    cool = replace(HOUSE, low_c=Spread(p10=3.0, p50=5.0, p90=7.0))
    assert may_go(JUNIPER, [cool], CARRY) == ("house",)


def test_a_fig_goes_to_the_brightest_place_that_keeps_its_floor():
    assert may_go(FIG, ALL, CARRY) == ("house", "sill")


def test_a_place_under_its_floor_is_the_last_resort_and_says_its_own_low():
    assert may_go(FIG, [FRAME], CARRY) == ()
    assert if_need_be(FIG, [FRAME], CARRY) == ("frame",)
    assert if_need_be(JUNIPER, ALL, CARRY) == ()
    assert short_of(FIG, FRAME).figures["low_c"] == 2.0
    assert short_of(FIG, HOUSE) is None


def test_a_place_that_is_no_warmer_than_outside_is_none():
    icy = replace(FRAME, low_c=FIG.low_c)
    assert if_need_be(FIG, [icy], CARRY) == ()


@pytest.mark.parametrize(("floor", "n"), [("battens", 2), ("concrete", 3), (None, 3)])
def test_what_stays_is_lifted_off_the_floor_unless_it_is(floor, n):
    assert len(list(if_it_stays(floor))) == n
