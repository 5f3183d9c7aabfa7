from dataclasses import replace
from datetime import time

import pytest

from arbuscula.desk.yard import add_yard, list_yards
from arbuscula.kinds.said import NotDoneError
from tests.desk.stair import FIG, bench, desk_of, faults, later, rec, stair


@pytest.fixture
def desk(tmp_path):
    return desk_of(tmp_path)


def test_a_town_brings_its_clock_and_its_height(desk):
    added = add_yard(desk, "Stone Stair", "Trieste")
    assert added.place.country == "IT"
    assert added.yard.timezone == "Europe/Rome"
    assert added.yard.latitude_deg == pytest.approx(45.65, abs=0.1)  # a town's width
    assert added.yard.elevation_m is not None


def test_numbers_will_do_south_and_west_as_well(desk):
    assert add_yard(desk, "Bowl", "-33.9,18.4").yard.timezone == "Africa/Johannesburg"
    assert add_yard(desk, "Quay", "-34.6,-58.4").yard.latitude_deg == -34.6


def test_other_places_of_the_name_are_told(desk):
    assert len(add_yard(desk, "Home", "London").others) >= 1


def test_rounds_are_kept_in_the_order_of_the_day(desk):
    yard = add_yard(desk, "Home", "Trieste", rounds=["19:00", "07:30", "19:00"]).yard
    assert yard.rounds == (time(7, 30), time(19))


def test_without_a_word_the_rounds_are_the_usual_ones(desk):
    assert add_yard(desk, "Home", "Trieste").yard.rounds == (time(8), time(18))


@pytest.mark.parametrize("odd", ["8 o'clock", "25:00", ""])
def test_a_round_that_is_no_time_of_day(desk, odd):
    odd_rounds = faults(desk, lambda: add_yard(desk, "Home", "Trieste", rounds=[odd]))
    assert odd_rounds["file.fault"]["key"] == "rounds.1"


def test_days_unseen_have_their_range(desk):
    odd = faults(desk, lambda: add_yard(desk, "Home", "Trieste", longest_unseen_d=90.0))
    assert odd["file.fault"]["key"] == "longest_unseen_d"


def test_a_place_that_is_none_names_those_near_it(desk):
    odd = faults(desk, lambda: add_yard(desk, "Home", "Triest, Chile"))
    assert odd.keys() <= {"place.unknown", "place.not_there"}


@pytest.mark.parametrize("again", ["Stone Stair", "stone  stair", "Bench 3", "b3-4"])
def test_a_name_stands_for_one_thing_alone(tmp_path, again):
    desk = stair(tmp_path)
    odd = faults(desk, lambda: add_yard(desk, again, "Bergen"), NotDoneError)
    assert [*odd] == ["name.taken"]


@pytest.mark.parametrize("name", ["", "   ", "x" * 101, "a\u0000b"])
def test_a_name_that_is_none(desk, name):
    odd = faults(desk, lambda: add_yard(desk, name, "Bergen"), NotDoneError)
    assert [*odd] == ["name.not_read"]


def test_two_yards_are_listed_with_what_stands_there(tmp_path):
    desk = stair(tmp_path)
    add_yard(desk, "Lower yard", "Bergen")
    bench(desk, "Sill", yard="lower yard", trees_n=2, each=FIG)
    rows = {row.key: (row.benches_n, row.trees_n) for row in list_yards(desk).yards}
    assert rows == {"Stone Stair": (1, 12), "Lower yard": (1, 2)}


def test_a_yard_is_set_again_and_what_was_not_said_stays(tmp_path):
    desk = later(stair(tmp_path), minutes=1)
    before = list_yards(desk).yards[0].yard
    rec(desk, "stone stair", "yard set rounds=07:00,20:00")
    (row,) = list_yards(desk).yards
    assert row.yard == replace(before, rounds=(time(7), time(20)))
