"""Record and import from the command line, in a home of their own."""

import json
import os
import subprocess
import sys
from multiprocessing import get_context

import pytest

from tests.faces.ask import ask, ask_outside

FIG = ["--species", "ficus-microcarpa"]


@pytest.fixture
def home(tmp_path):
    """Return a home whose folder has signs that an address must escape."""
    home = tmp_path / "Stra\u00dfe #7? 100%"
    ok(home, "yard", "add", "Stone Stair", "--at", "Trieste")
    ok(home, "bench", "add", "Bench 3", "--trees", 12, *FIG, "--since", "2026-06-01")
    return home


def ok(home, *words):
    said = ask(home, *words)
    assert said.exit_code == 0, said.output
    return said


def data(home, *words):
    return json.loads(ok(home, *words, "--json").stdout)


def events_n(home):
    return data(home, "verify")["events_n"]


def test_a_frosty_night_is_a_number_and_no_option(home):
    (event,) = data(home, "record", "Stone Stair", "night_min", "-3.5")["events"]
    assert event["facts"]["reading"]["value"] == -3.5


def test_an_option_that_is_none_is_refused(home):
    said = ask(home, "record", "Bench 3", "watered", "--exept", "3")
    assert said.exit_code == 2
    assert "--exept" in said.stderr


def test_done_except_says_whom_it_missed(home):
    said = ok(home, "record", "Bench 3", "watered", "--except", "3,10-12").stdout
    assert "for 8" in said
    assert "not for B3-3, B3-10, B3-11, B3-12" in said


def test_an_exception_that_is_not_there_is_no_slip_of_silence(home):
    said = ask(home, "record", "Bench 3", "watered", "--except", "3,99")
    assert said.exit_code == 2
    assert "99 did not stand on Bench 3" in said.stderr


def test_sent_twice_is_done_twice_and_stored_once(home):
    one = ["record", "B3-4", "watered", "300", "--id", "phone-7"]
    first = data(home, *one)
    before = events_n(home)
    again = data(home, *one)
    assert again == {**first, "sent_before": True}
    assert events_n(home) == before
    assert "once" in ok(home, *one).stderr


def test_another_event_under_the_same_id_is_not_carried_out(home):
    ok(home, "record", "B3-4", "watered", "300", "--id", "phone-7")
    said = ask(home, "record", "B3-4", "watered", "900", "--id", "phone-7")
    assert said.exit_code == 1
    assert "phone-7" in said.stderr


def test_what_is_taken_back_may_have_its_reason(home):
    (event,) = data(home, "record", "B3-4", "check", "dry")["events"]
    ok(home, "record", "--undo", event["id"][:8], "wrong", "pot")
    told = data(home, "tree", "show", "B3-4")["life"]
    assert told[-1]["facts"] == {"event": event["id"], "because": "wrong pot"}
    again = ask(home, "record", "--undo", event["id"])
    assert again.exit_code == 1
    assert "already" in again.stderr


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        (["B3-4", "watred"], "watered"),
        (["B3-4", "weighed", "1", "mass_g=2"], "twice"),
        (["B3-4", "corrected", "event=x"], "--undo"),
        (["B3-4", "flush", "hardened", "yes"], "yes"),
        (["B3-4", "check", "lifted", "dry"], "light"),
        (["B3-4", "repotted", "pot=oval"], "oval 235 x 180 x 70"),
        (["B3-4", "repotted", "mix=3 pumise"], "pumice"),
        (["B3-4", "priced", "cheap"], "45 EUR"),
        (["B3-4", "set", "down", "Bench 9"], "Bench 3"),
        (["Bench 3", "bench", "set", "facing_deg=up"], "SE"),
        (["B3-40", "watered"], "B3-4"),
        (["B3-4", "watered", "--at", "2026-03-29 02:30"], "put forward"),
        (["B3-4", "watered", "--at", "2025-10-26 02:30"], "+02:00 or +01:00"),
        (["B3-4", "watered", "--at", "then"], "08:00"),
        (["--undo", "nothing"], "nothing"),
    ],
)
def test_every_fault_says_what_would_do(home, words, fault):
    before = events_n(home)
    said = ask(home, "record", *words)
    assert said.exit_code == 2, said.output
    assert fault in said.stderr
    assert "Traceback" not in said.output
    assert events_n(home) == before


def test_work_for_nobody_is_not_carried_out(home):
    words = ["record", "Bench 3", "watered", "--at", "2026-05-01 08:00"]
    said = ask(home, *words)
    assert said.exit_code == 1
    assert "nobody" in said.stderr


def test_a_table_of_trees_comes_in_whole_or_not_at_all(home, tmp_path):
    table = tmp_path / "trees.csv"
    good = "label,species,bench\nElder,ficus-microcarpa,Table 1\n"
    table.write_text(good + "Elder,ficus-macrocarpa,Bench 3\n", encoding="utf-8")
    before = events_n(home)
    said = ask(home, "import", table)
    assert said.exit_code == 2
    for word in ("rows 2, 3", "row 3, species", "Table 1", "ficus-microcarpa"):
        assert word in said.stderr
    assert events_n(home) == before
    table.write_text(good, encoding="utf-8")
    assert "exposure=" in ok(home, "import", table, "--make-benches").stdout
    shown = data(home, "bench", "show", "table 1")
    assert [row["label"] for row in shown["trees"]] == ["Elder"]


def test_verify_exits_1_with_its_reasons_as_data_too(home):
    for log in home.glob("book.db-*"):
        log.unlink()
    (home / "book.db").write_bytes(b"no database at all, but longer than its head" * 9)
    said = ask(home, "verify")
    assert said.exit_code == 1
    assert "cannot be read" in said.stderr


# As processes of their own


def outside(home, *words, **settings):
    env = {**os.environ, "ARBUSCULA_HOME": str(home), **settings}
    command = [sys.executable, "-m", "arbuscula", *words]
    return subprocess.run(command, capture_output=True, text=True, check=False, env=env)


def test_a_life_from_the_shell(tmp_path):
    home = tmp_path / "home"
    for words in (
        ["yard", "add", "Home", "--at", "45.7,13.8"],
        ["bench", "add", "Sill", "--trees", "3", *FIG, "--exposure", "window"],
        ["record", "S-2", "check", "half"],
    ):
        done = outside(home, *words)
        assert (done.returncode, done.stderr) == (0, "")
    told = json.loads(outside(home, "tree", "show", "S-2", "--json").stdout)
    assert [event["kind"] for event in told["life"]] == ["tree set", "checked"]
    assert oct(home.stat().st_mode)[-3:] == "700"


@pytest.mark.parametrize("address", ["nonsense", "oracle+none://x", "sqlite:///"])
def test_a_book_at_an_address_of_its_own(tmp_path, address):
    done = outside(tmp_path, "yard", "list", ARBUSCULA_BOOK=address)
    assert "Traceback" not in done.stderr
    if address.startswith("sqlite"):  # in memory: empty, and gone with the process
        assert done.returncode == 0
    else:
        assert done.returncode == 2
        assert "ARBUSCULA_BOOK" in done.stderr


def test_a_folder_that_cannot_be_made_is_explained(tmp_path):
    (tmp_path / "file").write_text("")
    done = outside(tmp_path / "file/home", "yard", "list")
    assert done.returncode == 2
    assert "ARBUSCULA_HOME" in done.stderr


def _add(home, n):
    bench = ["bench", "add", f"Bench {n}", "--trees", "20", *FIG]
    return ask_outside(home, *bench).returncode


@pytest.mark.slow
def test_two_who_set_up_at_once_share_no_label(tmp_path):
    ok(tmp_path, "yard", "add", "Home", "--at", "45.7,13.8")
    with get_context("spawn").Pool(2) as pool:
        codes = pool.starmap(_add, [(tmp_path, n) for n in (4, 5, 4, 5)])
    assert sorted(codes) == [0, 0, 1, 1]  # each name is taken once
    assert len(data(tmp_path, "tree", "list")["trees"]) == 40
    assert events_n(tmp_path) == 1 + 2 * 21
