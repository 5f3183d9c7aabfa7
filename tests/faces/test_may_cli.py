"""`may`, as a grower types it."""

import json

import pytest

from tests.desk.stair import stair
from tests.faces.ask import ask


@pytest.fixture(scope="module")
def home(tmp_path_factory):
    folder = tmp_path_factory.mktemp("home")
    stair(folder, trees_n=3)
    return folder


def test_it_says_the_verdict_why_what_stays_what_follows_and_when(home):
    done = ask(home, "may", "B3-1", "repot", "--on", "2027-06-10")
    assert done.exit_code == 0
    assert "repot: not yet." in done.stdout
    assert "years are a reason to look, never to cut" in done.stdout
    assert "At most of the roots: 25 % to 30 %." in done.stdout
    assert "Then: No feed, 2027-06-10 to 2027-07-08." in done.stdout
    assert "Next: from 2027-06-10 on" in done.stdout
    assert "Listed toxic to pets" in done.stdout
    assert "[practice, growers]" in done.stdout


def test_no_is_a_good_answer(home):
    done = ask(home, "may", "B3-1", "decandle")
    assert done.exit_code == 0
    assert "decandle: no." in done.stdout


def test_several_are_judged_together(home):
    done = ask(home, "may", "B3-1", "repot", "full defoliation", "--on", "2027-06-10")
    assert "All together: not yet." in done.stdout
    assert "both big jobs" in done.stdout


def test_all_trees_are_asked(home):
    done = ask(home, "may", "--all", "trim", "--on", "2026-10-20")
    assert done.stdout.count("yes") == 3
    told = json.loads(ask(home, "may", "--all", "repot", "--json").stdout)
    assert told["schema"] == "arbuscula.may_all/1"
    assert {row["label"] for row in told["trees"]} == {"B3-1", "B3-2", "B3-3"}


def test_the_data_carry_their_words_and_grounds(home):
    told = json.loads(ask(home, "may", "B3-1", "trim", "--json").stdout)
    (one,) = told["verdicts"]
    assert told["schema"] == "arbuscula.may/1"
    assert all(b["said"] and b["source"] and b["grade"] for b in one["because"])
    assert all(isinstance(caution, str) for caution in one["cautions"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["B3-1", "repott"], "no such technique"),
        (["B9-9", "trim"], "B9-9"),
        (["B3-1"], "name a tree and a technique"),
        (["B3-1", "--all", "trim"], "exclude each other"),
        (["B3-1", "trim", "--on", "soon"], "soon"),
    ],
)
def test_what_cannot_be_asked_is_explained(home, words, said):
    done = ask(home, "may", *words)
    assert done.exit_code == 2
    assert said in done.output
