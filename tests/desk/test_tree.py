import pytest

from arbuscula.desk.record import undo
from arbuscula.desk.tree import TreeWish, add_group, list_trees, show_tree
from arbuscula.kinds.events import Sort
from arbuscula.kinds.said import NotDoneError
from arbuscula.kinds.tree import Group
from tests.desk.stair import FIG, bench, faults, later, life, rec, stair, tree


@pytest.fixture
def desk(tmp_path):
    return stair(tmp_path)


def test_a_tree_is_what_was_said_of_it(desk):
    said = {"species": "Ficus microcarpa", "leaf_area_m2": "0.25", "height_cm": "38"}
    row = tree(desk, "Bench 3", "Old fig", said=said, note="leans to the left").tree
    assert (row.label, row.bench_name, row.sort) == ("Old fig", "Bench 3", Sort.TREE)
    assert row.said.species == "ficus-microcarpa"
    assert (row.said.leaf_area_m2, row.said.height_cm) == (0.25, 38.0)
    assert life(desk, "old fig") == [("tree set", None), ("noted", None)]


def test_a_species_is_found_by_any_of_its_names(desk):
    for name in ("ficus-microcarpa", "FICUS microcarpa", "Chinese banyan"):
        row = tree(desk, "Bench 3", said={"species": name}).tree
        assert row.said.species == "ficus-microcarpa"


def test_a_species_that_is_none_names_those_near_it(desk):
    odd = faults(
        desk, lambda: tree(desk, "Bench 3", said={"species": "ficus-macrocarpa"})
    )
    assert "ficus-microcarpa" in odd["library.unknown_species"]["near"]


@pytest.mark.parametrize("again", ["B3-4", "b3-4", " B3-4 ", "Bench 3", "Stone Stair"])
def test_a_label_used_twice(desk, again):
    odd = faults(desk, lambda: tree(desk, "Bench 3", again), NotDoneError)
    assert [*odd] == ["name.taken"]


def test_a_label_is_free_once_its_tree_is_gone(desk):
    rec(desk, "B3-4", "died")
    row = tree(later(desk, days=1), "Bench 3", "B3-4").tree
    assert (row.tree, row.label) == ("B3-4 (2)", "B3-4")
    rec(later(desk, days=2), "B3-4", "check light")
    assert life(desk, "B3-4") == [("tree set", None), ("checked", None)]


def test_accents_are_one_letter_however_they_are_typed(desk):
    bench(desk, "Serre d'e\u0301te\u0301")
    row = tree(desk, "serre d'\u00e9t\u00e9", "E\u0301lan").tree
    assert row.label == "\u00c9lan"
    assert show_tree(desk, "\u00e9LAN").tree == "\u00c9lan"


def test_a_bench_that_is_none_names_those_there_are(desk):
    odd = faults(desk, lambda: tree(desk, "Bench 4"))
    assert odd["name.unknown"]["near"].startswith("Bench 3")


def test_a_tray_is_kept_as_one(desk):
    said = {**FIG, "form": "tray", "plants_n": "24"}
    row = add_group(desk, TreeWish(bench="Bench 3", label="Tray 1", said=said)).tree
    assert row.sort is Sort.GROUP
    assert isinstance(row.said, Group)
    assert row.said.plants_n == 24


def test_trees_are_listed_along_the_walk(desk):
    bench(desk, "Glasshouse", trees_n=1, each=FIG)
    rec(desk, "B3-2", ["set down", "bench=Bench 3", "place_n=5.5"])
    labels = [row.label for row in list_trees(desk).trees]
    assert labels == [*(f"B3-{n}" for n in (1, 3, 4, 5, 2, *range(6, 13))), "G-1"]


def test_a_life_is_told_with_what_was_taken_back(desk):
    (event,) = rec(desk, "B3-4", "check dry").events
    (taker,) = undo(later(desk, minutes=1), event.id, because="wrong pot").events
    told = show_tree(desk, "B3-4").life
    assert [(e.kind, e.taken_back_by) for e in told] == [
        ("tree set", None),
        ("checked", taker.id),
        ("corrected", None),
    ]
    assert told[1].at.isoformat() == "2026-07-08T08:10:00+02:00"


def test_a_life_goes_on_under_the_label_it_was_given(desk):
    """Two labels hung on the wrong plants from the second of July on."""
    rec(desk, "B3-4", "check light", at="2026-07-01 08:00")
    rec(desk, "B3-4", "labels exchanged B3-9", at="2026-07-02 08:00")
    assert [kind for kind, _ in life(desk, "B3-4")] == ["tree set", "labels exchanged"]
    assert "checked" in [kind for kind, _ in life(desk, "B3-9")]


def test_the_life_of_one_who_is_gone_can_still_be_read(desk):
    rec(desk, "B3-4", "sent carrier=post")
    shown = show_tree(desk, "B3-4")
    assert shown.here is None
    assert [event.kind for event in shown.life] == ["tree set", "sent"]
