"""Who goes where, in how many trips, by when."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from arbuscula.kinds.moving import Load, Room
from arbuscula.plan.carrying import allotted, in_trips, start_by
from arbuscula.start import desk_at

CARRY = desk_at(Path("not-needed")).library().moving.carry
DARK = datetime(2026, 10, 3, 17, tzinfo=UTC)


def load(key, kg=3.0, wide=30.0, may_go=("house", "sill")):
    return Load(key=key, width_cm=wide, mass_kg=kg, may_go=may_go)


def test_the_first_in_order_have_the_best_place_and_the_last_none():
    loads = [load(key) for key in "abcd"]
    rooms = [Room(key="house", left_n=2), Room(key="sill", left_n=1)]
    assert allotted(loads, rooms) == {
        "a": "house",
        "b": "house",
        "c": "sill",
        "d": None,
    }


def test_metres_fill_as_pots_do():
    loads = [load("a", wide=50.0), load("b", wide=60.0), load("c", wide=40.0)]
    rooms = [Room(key="house", left_cm=100.0)]
    assert allotted(loads, rooms) == {"a": "house", "b": None, "c": "house"}


def test_nobody_is_sent_where_it_may_not_go():
    rooms = [Room(key="house", left_n=5)]
    assert allotted([load("j", may_go=("frame",))], rooms) == {"j": None}


def test_two_pots_go_in_a_trip_and_a_heavy_one_alone():
    loads = [load("a"), load("b"), load("heavy", kg=11.0), load("d", kg=2.0)]
    places = dict.fromkeys(("a", "b", "heavy", "d"), "house")
    trips = {one.key: one.trip_n for one in in_trips(loads, places, CARRY)}
    assert trips == {"a": 1, "b": 1, "heavy": 2, "d": 3}


def test_a_trip_goes_to_one_place_and_those_that_stay_have_none():
    loads = [load("a"), load("b"), load("c")]
    carried = in_trips(loads, {"a": "house", "b": "sill", "c": None}, CARRY)
    assert [one.trip_n for one in carried] == [1, 2, None]


def test_the_first_trip_starts_so_that_the_last_is_done_before_dark():
    first = start_by(DARK, trips_n=10, before_n=0, figures=CARRY)
    last = start_by(DARK, trips_n=10, before_n=9, figures=CARRY)
    minutes = CARRY.trip_min.value
    assert (DARK - first).total_seconds() == 10 * minutes * 60
    assert (DARK - last).total_seconds() == minutes * 60


def test_a_place_that_only_helps_is_left_to_those_it_suits():
    fig = replace(load("fig", may_go=()), if_need_be=("frame",))
    juniper = load("juniper", may_go=("frame",))
    for frame_n, fig_place in ((1, None), (2, "frame")):
        placed = allotted([fig, juniper], [Room(key="frame", left_n=frame_n)])
        assert placed == {"fig": fig_place, "juniper": "frame"}
