"""What counts as a figure of a page that its twin does not tell."""

import pytest

from scripts.twins import told_by, unlike

TWIN = {
    "at": "2026-07-08T18:00:00+02:00",
    "left_frac": 0.417,
    "give_ml": 1455.2,
    "rounds": ["08:00:00", "18:00:00"],
    "trees": [
        {"label": "B3-1", "tree": "t1", "due_frac": 0.25},
        {"label": "B3-2", "tree": "t2", "due_frac": 0.75},
    ],
    "pots": [{"tree": "t1", "height_cm": 31}, {"tree": "t2", "height_cm": 47}],
    "lived": [{}] * 17,
}


def page(rest="", **pots):
    named = [[label.replace("_", "-"), words] for label, words in pots.items()]
    return {"rest": rest, "pots": named}


@pytest.mark.parametrize(
    "words",
    [
        "42 % left, at 18:00 on Wed 8 Jul",
        "give 1,455 mL",
        "0.42, or 0.4",
        "rounds at 08:00",
        "17 events, 5 earlier",
        "no figure at all",
        "B3-2 stands there, saved as UTF-8",
    ],
)
def test_what_a_twin_tells_may_stand_on_the_page(words):
    assert unlike(page(words), TWIN) == []


@pytest.mark.parametrize(
    ("words", "odd"),
    [("43 % left", "43"), ("give 1,456 mL", "1,456"), ("19:00", "19:00"), ("9", "9")],
)
def test_what_it_does_not_tell_may_not(words, odd):
    assert unlike(page(words), TWIN) == [odd]


def test_a_pot_may_say_its_own_figures_and_no_others():
    assert unlike(page(B3_1="25 %, 31 cm high"), TWIN) == []
    assert unlike(page(B3_1="75 %, 47 cm high"), TWIN) == ["B3-1: 75", "B3-1: 47"]
    assert unlike(page(B9_9="31 cm"), TWIN) == ["B9-9: 31"]


def test_signs_and_flags_are_no_figures():
    assert told_by({"on": True, "low_c": -2.5}) >= {"2.5"}
    assert "1" not in told_by({"on": True})
