"""Persons: known by name beside the book, and by a mark alone in it."""

import pytest

from arbuscula.desk.exchange import export
from arbuscula.desk.person import add_person, erase, list_persons
from arbuscula.desk.tree import show_tree
from arbuscula.kinds.events import Sold
from arbuscula.ledger.book import all_events
from tests.desk.stair import faults, rec, stair


@pytest.fixture
def desk(tmp_path):
    return stair(tmp_path / "home")


def last(desk):
    return max(all_events(desk.ledger()), key=lambda event: event.happened)


@pytest.mark.parametrize("words", ["Ondine Vanishing", "  ondine  VANISHING"])
def test_who_writes_is_told_by_name_and_kept_as_a_mark(desk, words):
    helper = add_person(desk, "Ondine Vanishing", "helper").person
    rec(desk, "B3-4", "watered", by=words)
    assert last(desk).by == helper.id


def test_a_buyer_is_told_by_name_and_kept_as_a_mark(desk):
    buyer = add_person(desk, "Ondine Vanishing", "buyer", contact="Bergen").person
    rec(desk, "B3-4", ["sold", "buyer=Ondine Vanishing"])
    assert last(desk).facts == Sold(buyer=buyer.id)


def test_a_giver_is_told_by_name_and_kept_as_a_mark(desk):
    giver = add_person(desk, "Ondine Vanishing", "giver").person
    rec(desk, "B3-4", ["received", "given", "giver=Ondine Vanishing"])
    assert last(desk).facts.giver == giver.id


@pytest.mark.parametrize(
    ("words", "wish"),
    [("watered", {"by": "Ondina"}), (["sold", "buyer=Ondina"], {})],
)
def test_whom_nobody_knows_is_refused_with_who_is_near(desk, words, wish):
    add_person(desk, "Ondine", "helper")
    odd = faults(desk, lambda: rec(desk, "B3-4", words, **wish))
    assert odd["person.unknown"] == {"found": "Ondina", "near": "Ondine"}


def test_two_of_one_name_are_told_apart_by_their_marks(desk):
    marks = {add_person(desk, "Ondine", "helper").person.id for _ in range(2)}
    odd = faults(desk, lambda: rec(desk, "B3-4", "watered", by="Ondine"))
    assert {*odd["person.several"]["near"].split(", ")} == marks
    for mark in marks:
        rec(desk, "B3-4", "watered", by=mark)
    assert {e.by for e in all_events(desk.ledger()) if e.kind == "watered"} == marks


def test_whoever_is_forgotten_leaves_what_was_done(desk, tmp_path):
    helper = add_person(desk, "Ondine Vanishing", "helper", contact="Bergen").person
    rec(desk, "B3-4", "watered", by=helper.id)
    erase(desk, "Ondine Vanishing")
    assert list_persons(desk).persons == ()
    assert [e.kind for e in show_tree(desk, "B3-4").life] == ["tree set", "watered"]
    kept = b"".join(p.read_bytes() for p in (tmp_path / "home").glob("book.db*"))
    assert b"Vanishing" not in kept
    assert "person.unknown" in faults(desk, lambda: erase(desk, helper.id))


def test_a_person_needs_a_name(desk):
    assert "name.not_read" in faults(desk, lambda: add_person(desk, " ", "helper"))


def test_nobody_stands_in_an_export(desk, tmp_path):
    add_person(desk, "Ondine Vanishing", "buyer")
    rec(desk, "B3-4", ["reserved", "buyer=Ondine Vanishing"])
    export(desk, tmp_path / "book.jsonl")
    assert "Vanishing" not in (tmp_path / "book.jsonl").read_text()
