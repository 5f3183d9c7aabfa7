"""Backup, restore and export from the command line."""

import json

import pytest

from tests.faces.ask import ask, ask_outside

FIG = ["--species", "ficus-microcarpa"]


@pytest.fixture
def home(tmp_path):
    home = tmp_path / "home"
    ok(home, "yard", "add", "Home", "--at", "45.7,13.8")
    ok(home, "bench", "add", "Bench 3", "--trees", 3, *FIG)
    return home


def ok(home, *words):
    said = ask(home, *words)
    assert said.exit_code == 0, said.output
    return said.stdout


def data(home, *words):
    return json.loads(ok(home, *words, "--json"))


@pytest.mark.slow
def test_a_lost_machine_is_replaced(home, tmp_path):
    stick = tmp_path / "trees.zip"
    made = ok(home, "backup", stick)
    assert "5 events" in made
    assert "counted" in made
    before = data(home, "tree", "list")
    new = tmp_path / "new"
    assert "5 events" in ok(new, "restore", stick)
    assert data(new, "tree", "list") == before
    ok(new, "record", "B3-2", "watered")


def test_data_and_words_tell_the_same(home, tmp_path):
    stick = tmp_path / "trees.zip"
    answer = data(home, "backup", stick)
    assert answer["schema"] == "arbuscula.backup/1"
    counted = data(home, "restore", stick, "--rehearse")
    assert counted["schema"] == "arbuscula.restore/1"
    assert counted["contents"] == answer["contents"]
    assert counted["into"] is None
    assert "Nothing was moved" in ok(home, "restore", stick, "--rehearse")


@pytest.mark.parametrize(
    ("words", "code", "needed"),
    [
        (["restore", "{stick}"], 1, "--replace"),
        (["restore", "{stick}", "--rehearse", "--replace"], 2, "--rehearse"),
        (["restore", "nowhere.zip", "--rehearse"], 2, "nowhere.zip"),
        (["backup", "{home}/trees.zip"], 2, "Another disk"),
        (["export", "trees.xls"], 2, ".jsonl, .csv"),
    ],
)
def test_what_is_refused_is_refused_with_its_reason(
    home, tmp_path, words, code, needed
):
    stick = tmp_path / "trees.zip"
    ok(home, "backup", stick)
    said = ask(home, *(w.format(stick=stick, home=home) for w in words))
    assert said.exit_code == code, said.output
    assert needed in said.stderr


def test_a_damaged_backup_is_refused_with_its_reason(home, tmp_path):
    stick = tmp_path / "trees.zip"
    ok(home, "backup", stick)
    stick.write_bytes(stick.read_bytes()[:-30])
    said = ask(tmp_path / "new", "restore", stick)
    assert said.exit_code == 1
    assert "damaged" in said.stderr


@pytest.mark.slow
def test_what_was_moved_aside_and_what_is_newer_there_is_told(tmp_path):
    home, stick = tmp_path / "home", tmp_path / "trees.zip"
    for words in (
        ["yard", "add", "Home", "--at", "45.7,13.8"],
        ["backup", stick],
        ["yard", "add", "Terrace", "--at", "45.7,13.8"],
    ):
        assert ask_outside(home, *words).returncode == 0
    said = ask_outside(home, "restore", stick, "--replace")
    assert said.returncode == 0
    assert "home-before-" in said.stderr
    assert "that the backup lacks: 1." in said.stderr


def test_the_book_goes_out_as_lines_and_as_a_table(home, tmp_path):
    lines, table = tmp_path / "trees.jsonl", tmp_path / "trees.csv"
    answer = data(home, "export", lines)
    assert answer["events_n"] == 5
    assert len(lines.read_text().splitlines()) == 6
    assert "5 events" in ok(home, "export", table)


def test_the_book_comes_in_elsewhere_and_twice_is_once(home, tmp_path):
    lines = tmp_path / "trees.jsonl"
    out = data(home, "export", lines)
    for new_n in (5, 0):
        came = data(tmp_path / "new", "import", lines)
        assert (came["new_n"], came["digest"]) == (new_n, out["digest"])
    assert data(tmp_path / "new", "tree", "list") == data(home, "tree", "list")
    assert "5" in ok(tmp_path / "new", "import", lines)
