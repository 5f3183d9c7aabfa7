"""The book from the command line: a grower's first ten minutes, and the rest."""

import json
import re
import time
from datetime import timedelta
from multiprocessing import get_context

import pytest

from arbuscula.start import desk_at
from tests.faces.ask import ask, ask_outside

FIG = ["--species", "ficus-microcarpa"]
ROUND = "Bench 3: done but 4 11; light 4; dry 11\n"


@pytest.fixture
def home(tmp_path):
    """Return a home with one yard and a bench of twelve."""
    ok(tmp_path, "yard", "add", "Home", "--at", "45.7,13.8")
    pot = ["--pot", "oval 18 cm", "--facing", "south"]
    ok(tmp_path, "bench", "add", "Bench 3", "--trees", 12, *FIG, *pot)
    return tmp_path


def ok(home, *words):
    said = ask(home, *words)
    assert said.exit_code == 0, said.output
    return said


def data(home, *words):
    return json.loads(ok(home, *words, "--json").stdout)


def refused(home, code, *words):
    before = data(home, "verify")["events_n"]
    said = ask(home, *words)
    assert said.exit_code == code, said.output
    assert "Traceback" not in said.output
    assert data(home, "verify")["events_n"] == before
    return said.stderr


def trees(home):
    answer = data(home, "today")
    return {t["label"]: t for bench in answer["benches"] for t in bench["trees"]}


def test_the_first_ten_minutes(tmp_path):
    """A town, a bench with a count, a lift, and the round changes."""
    said = ok(tmp_path, "yard", "add", "Home", "--at", "Trieste")
    assert "Europe/Rome" in said.stdout
    made = ok(tmp_path, "bench", "add", "Bench 3", "--trees", 12, *FIG)
    assert "B3-1 to B3-12" in made.stdout
    first = ok(tmp_path, "today").stdout
    assert re.search(r"(Water|Lift) .*1", first)
    assert "Lift first, it tells most" in first
    before = trees(tmp_path)["B3-4"]["p_due_next_round"]
    ok(tmp_path, "record", "B3-4", "check", "heavy")
    assert trees(tmp_path)["B3-4"]["p_due_next_round"] < before


def test_a_hundred_and_forty_trees_are_one_batch_and_quick(home):
    begun = time.perf_counter()
    made = data(home, "bench", "add", "Low wall", "--trees", 140, *FIG)
    assert time.perf_counter() - begun < 20  # a guard against a batch per tree
    assert made["labels"][0] == "LW-1"
    assert len(set(made["ids"])) == 141
    assert data(home, "verify")["events_n"] == 2 + 12 + 141


def test_a_bench_is_set_up_whole_or_not_at_all(home):
    said = refused(
        home, 2, "bench", "add", "Shelf", "--trees", 5, "--species", "ficus-macrocarpa"
    )
    assert "ficus-microcarpa" in said
    assert len(data(home, "bench", "list")["benches"]) == 1


def test_done_except_is_one_event_for_the_others(home):
    (event,) = data(home, "record", "Bench 3", "watered", "--except", "3,10-12")[
        "events"
    ]
    assert event["kind"] == "watered"
    assert len(event["reached"]) == 8
    assert {"B3-3", "B3-10"}.isdisjoint(event["reached"])
    life = data(home, "tree", "show", "B3-3")["life"]
    assert [e["kind"] for e in life] == ["tree set"]


def test_only_some_is_as_easily_said(home):
    (event,) = data(home, "record", "Bench 3", "watered", "--only", "2 5")["events"]
    assert event["reached"] == ["B3-2", "B3-5"]


@pytest.mark.parametrize(
    ("words", "how", "found"),
    [
        (["check", "half"], "lifted", "half"),
        (["check", "dry"], "finger", "dry"),
        (["check", "skewer", "wet"], "skewer", "wet"),
        (["checked", "drains", "slowly"], "seen", "drains slowly"),
    ],
)
def test_a_bare_word_finds_its_kind(home, words, how, found):
    ok(home, "record", "B3-4", *words)
    facts = data(home, "tree", "show", "B3-4")["life"][-1]["facts"]
    assert facts == {"how": how, "found": found}


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        (["weighed", "2350"], "weighed"),
        (["watered", "800"], "watered"),
        (["repotted", "pot=oval 235 x 180 x 70", "removed_frac=0.25"], "repotted"),
        (["set", "down", "bench=Bench 3", "place_n=4.5"], "set down"),
        (["kept", "drier"], "kept"),
        (["into", "hospital"], "into hospital"),
        (["noted", "leans to the left"], "noted"),
    ],
)
def test_every_kind_is_told_in_its_own_words(home, words, kind):
    ok(home, "record", "B3-4", *words)
    assert data(home, "tree", "show", "B3-4")["life"][-1]["kind"] == kind


def test_a_yard_has_its_thermometer(home):
    (event,) = data(home, "record", "Home", "night_min", "8.5")["events"]
    assert event["kind"] == "measured"


def test_unknown_words_are_answered_with_near_ones(home):
    assert "watered" in refused(home, 2, "record", "B3-4", "watred")
    assert "B3-4" in refused(home, 2, "record", "B34", "watered")
    assert "half" in refused(home, 2, "record", "B3-4", "check", "halve")
    assert "removed_frac" in refused(
        home, 2, "record", "B3-4", "repotted", "removd_frac=1"
    )
    assert "yard" in refused(home, 2, "record", "Home", "watered")


def test_sent_twice_is_stored_once_and_a_conflict_is_refused(home):
    one = [
        "record",
        "B3-4",
        "watered",
        "300",
        "--id",
        "phone-7",
        "--at",
        "2026-07-06 08:00",
    ]
    ok(home, *one)
    before = data(home, "verify")["events_n"]
    said = ask(home, *one)
    assert said.exit_code in (0, 1)  # written at another second is another fact
    assert data(home, "verify")["events_n"] == before
    other = ["record", "B3-4", "watered", "900", "--id", "phone-7"]
    assert "phone-7" in refused(home, 1, *other)


def test_an_event_is_taken_back_and_stays_in_the_book(home):
    (event,) = data(home, "record", "B3-4", "check", "dry")["events"]
    thirsty = trees(home)["B3-4"]["p_due_next_round"]
    ok(home, "record", "--undo", event["id"])
    assert trees(home)["B3-4"]["p_due_next_round"] < thirsty
    assert "taken back" in ok(home, "tree", "show", "B3-4").stdout
    assert "near it" in refused(home, 2, "record", "--undo", "nothing")


def test_a_clock_that_jumped_is_asked_for_its_offset(home):
    refused_words = ["record", "B3-4", "watered", "--at"]
    assert "never showed" in refused(home, 2, *refused_words, "2026-03-29 02:30")
    twice = refused(home, 2, *refused_words, "2026-10-25 02:30")
    assert "+02:00" in twice
    assert "yet to come" in refused(home, 2, *refused_words, "2126-01-01 08:00")


def test_names_with_accents_are_found_however_they_are_typed(home):
    ok(home, "bench", "add", "Se\u0301rre d'hiver", "--exposure", "glasshouse")
    ok(home, "tree", "add", "\u00c9lan", "--bench", "s\u00e9rre d'hiver", *FIG)
    ok(home, "record", "E\u0301LAN", "watered")


def test_a_label_used_twice_is_refused(home):
    ok(home, "tree", "add", "Old one", "--bench", "Bench 3", *FIG)
    said = refused(home, 1, "tree", "add", "old  one", "--bench", "Bench 3", *FIG)
    assert "taken" in said


# The round on paper, and back


def test_a_round_goes_to_paper_and_comes_back(home, tmp_path):
    page = tmp_path / "round.html"
    ok(home, "today", "--paper", page)
    assert "Bench 3" in page.read_text(encoding="utf-8")
    typed = tmp_path / "typed.txt"
    typed.write_text("# this morning\n" + ROUND, encoding="utf-8")
    answer = data(home, "record", "--paper", typed)
    kinds = [(e["kind"], len(e["reached"])) for e in answer["events"]]
    assert kinds == [("checked", 1), ("checked", 1), ("watered", 10)]


@pytest.mark.parametrize(
    ("line", "needed"),
    [
        ("Bench 9: done", "Bench 3"),
        ("Bench 3 done", "Line 1"),
        ("Bench 3: lite 4", "light"),
        ("Bench 3: light 40", "40"),
        ("Bench 3: nonsense", "nonsense"),
    ],
)
def test_a_line_that_cannot_be_read_writes_nothing(home, tmp_path, line, needed):
    typed = tmp_path / "typed.txt"
    typed.write_text(f"{line}\n{ROUND}", encoding="utf-8")
    assert needed in refused(home, 2, "record", "--paper", typed)


# Trust


def test_verify_tells_a_dropped_guard_and_a_changed_row(home):
    import sqlite3

    assert "whole" in ok(home, "verify").stdout
    db = sqlite3.connect(home / "book.db")
    guards = [
        n for (n,) in db.execute("SELECT name FROM sqlite_master WHERE type='trigger'")
    ]
    for guard in guards:
        db.execute(f"DROP TRIGGER {guard}")
    db.execute("UPDATE event SET subject = 'B3-5' WHERE subject = 'B3-4'")
    db.commit()
    db.close()
    said = ask(home, "verify")
    assert said.exit_code == 1
    assert "guard" in said.stderr
    assert "not what was written" in said.stderr


def test_verify_explains_a_file_of_ones_own(home, tmp_path):
    own = tmp_path / "ficus-own.toml"
    own.write_text("latin = 7\n[warmth]\nbase_c = { value = 5, low = 9, high = 10 }\n")
    said = ask(home, "verify", own)
    assert said.exit_code == 1
    for word in ("latin", "warmth.base_c.source", "stomata"):
        assert word in said.stderr


def _write(home, n):
    return ask_outside(home, "record", f"B3-{n}", "watered").returncode


def test_two_writers_at_once_lose_nothing(home):
    before = data(home, "verify")["events_n"]
    with get_context("spawn").Pool(2) as pool:
        codes = pool.starmap(_write, [(home, n) for n in (1, 2, 3, 4)])
    assert codes == [0, 0, 0, 0]
    assert data(home, "verify")["events_n"] == before + 4


def test_a_process_of_its_own_answers_as_this_one_does(home):
    soon = desk_at(home).clock() + timedelta(minutes=1)
    at = soon.isoformat(timespec="seconds")
    inside = ok(home, "today", "--at", at, "--json").stdout
    outside = ask_outside(home, "today", "--at", at, "--json")
    assert outside.returncode == 0, outside.stderr
    assert json.loads(outside.stdout) == json.loads(inside)


def test_a_bare_home_says_what_to_do(tmp_path):
    said = ask(tmp_path, "today")
    assert said.exit_code == 2
    assert "yard add" in said.stderr


def test_the_score_needs_time(home):
    ok(home, "today")
    assert "Too few" in ok(home, "why", "--score").stdout
    assert data(home, "why", "--score")["schema"] == "arbuscula.score/1"


def test_a_yard_goes_by_the_clock_that_it_is_given(tmp_path):
    at = ["--at", "45.7,13.8", "--timezone"]
    ok(tmp_path, "yard", "add", "Border", *at, "Europe/Ljubljana")
    assert "Europe/Ljubljana" in ok(tmp_path, "yard", "list").stdout
    assert "Europe/Nowhere" in refused(
        tmp_path, 2, "yard", "add", "B", *at, "Europe/Nowhere"
    )
