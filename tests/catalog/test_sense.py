"""Numbers that cannot be true together are told, each with what would do."""

from dataclasses import replace

import pytest

from arbuscula.catalog.library import read_library
from arbuscula.catalog.sense import sense_faults
from tests.substrates import LIBRARY

OURS = read_library(LIBRARY)
FIG = OURS.species["ficus-microcarpa"]
AKADAMA = OURS.substrates["akadama"]


def at(value, number):
    return replace(value, value=number, low=number, high=number)


def changed(entry, **numbers):
    return replace(entry, **{k: at(getattr(entry, k), n) for k, n in numbers.items()})


def keys(entry):
    return [fault.figures["key"] for fault in sense_faults(entry, "mine.toml")]


@pytest.mark.parametrize(
    "shelf", ["species", "substrates", "wires", "fertilisers", "pests"]
)
def test_all_of_ours_can_be(shelf):
    assert [key for one in getattr(OURS, shelf).values() for key in keys(one)] == []


def test_damage_begins_below_the_warning():
    warmth = changed(FIG.warmth, damage_below_c=12)
    assert keys(replace(FIG, warmth=warmth)) == ["warmth.damage_below_c"]


def test_late_comes_after_due_and_both_are_shares():
    thirst = changed(FIG.thirst, late_below_frac=1.2)
    told = keys(replace(FIG, thirst=thirst))
    assert told == ["thirst.late_below_frac", "thirst.late_below_frac"]


def test_the_best_warmth_lies_between_the_ends():
    stomata = changed(FIG.stomata, best_c=50)
    assert keys(replace(FIG, stomata=stomata)) == ["stomata.best_c"]


@pytest.mark.parametrize(
    ("key", "number"),
    [("saturated_frac", 1.4), ("alpha_per_cm", 0), ("shape_n", 1), ("inner_n", 0.9)],
)
def test_a_curve_that_cannot_be(key, number):
    assert key in keys(changed(AKADAMA, **{key: number}))


def test_inner_pores_are_told_whole_or_not_at_all():
    (fault,) = sense_faults(replace(AKADAMA, inner_n=None), "mine.toml")
    assert (fault.message_id, fault.figures["key"]) == ("entry.inner", "inner_n")


def test_a_feed_is_no_more_than_itself():
    feed = changed(OURS.fertilisers["epsom-salt"], nitrogen_frac=0.9)
    assert keys(feed) == [
        "nitrogen_frac + phosphate_frac + potash_frac + magnesia_frac"
    ]


def test_a_wire_has_gauges_and_yields_before_it_breaks():
    wire = changed(OURS.wires["copper"], ultimate_mpa=60)
    assert keys(replace(wire, gauges_mm=(0.0,))) == ["soft_yield_mpa", "gauges_mm"]


def test_a_pest_lives_for_some_time():
    thrips = OURS.pests["cuban-laurel-thrips"]
    life, *others = thrips.lives
    nil = replace(life, life_d=at(life.life_d, 0))
    assert keys(replace(thrips, lives=(nil, *others))) == ["lives.1.life_d"]
    assert keys(changed(thrips, least_c=40)) == ["least_c"]
