"""The door: exit codes, what goes where, one answer in words, units and JSON."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from arbuscula.cli.commands import cli
from arbuscula.cli.door import Visit
from arbuscula.desk.answers import data
from arbuscula.desk.drydown import drydown
from arbuscula.desk.mix import mix
from arbuscula.desk.pot import pot
from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.reports.words import Voice, sentence
from arbuscula.start import desk_at
from tests.faces.ask import ask, ask_outside

EXAMPLE = Path(__file__).parents[2] / "examples/bench-fig"
CASE = EXAMPLE / "case.toml"
PARTS = "3 pumice 4 mm, 4 akadama, 1 pine-bark"
POT = "oval 235 x 180 x 70"
VERBS = {
    "drydown": (["drydown", CASE], lambda desk: drydown(desk, CASE)),
    "mix": (["mix", PARTS, "--pot", POT], lambda desk: mix(desk, PARTS, POT)),
    "pot": (["pot", POT], lambda desk: pot(desk, POT)),
}
WORDS = [words for words, _ in VERBS.values()]


@pytest.fixture
def case(tmp_path):
    """Return a copy of the example case."""
    shutil.copytree(EXAMPLE, tmp_path / "case")
    return tmp_path / "case/case.toml"


def no_constant(name):
    raise AssertionError(name)


@pytest.mark.parametrize(("words", "asked"), VERBS.values(), ids=VERBS)
def test_json_is_the_answer_of_the_desk(tmp_path, words, asked):
    said = ask(tmp_path, *words, "--json")
    assert said.stderr == ""
    told = json.loads(said.stdout, parse_constant=no_constant)
    answer = data(asked(desk_at(tmp_path)), lambda s: sentence(s, Voice()))
    assert told == answer
    assert next(iter(told)) == "schema"


@pytest.mark.parametrize("words", WORDS, ids=VERBS)
def test_units_of_the_united_states_change_words_and_no_data(tmp_path, words):
    metric, us = (ask(tmp_path, "--units", u, *words) for u in ("metric", "us"))
    assert metric.exit_code == us.exit_code == 0
    told = us.stdout.partition("Weakest number")[0]  # notes quote their sources
    assert "fl oz" in told
    assert not {"mL", "mm", "cm", "cm²", "L", "g"} & {*told.replace(";", " ").split()}
    assert "fl oz" not in metric.stdout
    metric, us = (
        ask(tmp_path, "--units", u, *words, "--json") for u in ("metric", "us")
    )
    assert metric.stdout == us.stdout


def test_inches_and_fluid_ounces_by_hand(tmp_path):
    """A box of 10 by 8 by 4 in takes 320 cubic inches: 320 * 128 / 231 fl oz.

    A gallon is 231 cubic inches and 128 fluid ounces (NIST Handbook 44).
    """
    said = ask(tmp_path, "--units", "us", "pot", "box 10 x 8 x 4 in").stdout
    assert said.startswith(
        "box 10 in \u00d7 8 in \u00d7 4 in: 177.3 fl oz of soil, 80 in² o"
    )


def test_a_pot_may_be_asked_for_in_the_words_it_is_told_in(tmp_path):
    said = ask(tmp_path, "pot", "oval 23.5 cm").stdout
    told = said.partition(":")[0]
    assert ask(tmp_path, "pot", told).stdout.partition(":")[0] == told


def test_a_process_of_its_own_ends_in_nil_or_two(tmp_path, case):
    done = ask_outside(tmp_path, "pot", POT)
    assert (done.returncode, done.stderr) == (0, "")
    assert "of soil" in done.stdout
    (case.parent / "weather.csv").unlink()
    refused = ask_outside(tmp_path, "drydown", case)
    assert (refused.returncode, refused.stdout) == (2, "")
    (line,) = refused.stderr.splitlines()
    assert line.startswith(f"{case.parent / 'weather.csv'} is not there")


@pytest.mark.parametrize(
    ("error", "code"), [(ArbusculaError, 2), (NotDoneError, 1)], ids=str
)
def test_what_cannot_be_taken_ends_in_two_and_what_was_not_done_in_one(error, code):
    def closed():
        raise error(Said("mix.nothing", {"file": "a", "known": "lava"}), *more)

    more = [Said("mix.nothing", {"file": "b", "known": "peat"})]
    said = CliRunner().invoke(cli, ["pot", POT], obj=Visit(closed, Voice()))
    assert said.exit_code == code
    assert said.stdout == ""
    assert [line[:2] for line in said.stderr.splitlines()] == ["a:", "b:"]


@pytest.mark.parametrize(
    "words",
    [["--language", "xx", "pot", POT], ["--units", "x", "pot", POT], ["pott"], ["pot"]],
)
def test_words_that_are_no_command(tmp_path, words):
    said = ask(tmp_path, *words)
    assert said.exit_code == 2
    assert said.stdout == ""


def test_faults_of_the_case_and_of_all_its_tables_are_told_at_once(tmp_path, case):
    case.write_text(case.read_text().replace("pumice = 3", "pummice = 3"))
    for name, old, new in [
        ("weather.csv", "rain_mm", "rain"),
        ("weights.csv", "3370.0", "-3370.0"),
        ("waterings.csv", "07:00+02:00", "07:00"),
    ]:
        table = case.parent / name
        table.write_text(table.read_text().replace(old, new, 1))
    said = ask(tmp_path, "drydown", case)
    assert said.exit_code == 2
    assert [line.split(":")[0].split(",")[0] for line in said.stderr.splitlines()] == [
        "case.toml",
        "weights.csv",
        "waterings.csv",
        "weather.csv",
    ]


def test_a_name_that_would_order_a_screen_about_is_shown_and_not_obeyed(tmp_path):
    said = ask(tmp_path, "drydown", tmp_path / "red\x1b[31m\nfile")
    assert said.exit_code == 2
    (line,) = said.stderr.splitlines()
    assert r"red\x1b[31m\nfile" in line


def test_a_name_that_is_no_text_is_refused_like_any_other(tmp_path):
    done = ask_outside(tmp_path, "drydown", str(tmp_path) + "/\udcff")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert r"\udcff" in done.stderr


def test_figures_of_a_file_stay_in_the_units_of_the_file(tmp_path, case):
    case.write_text(case.read_text().replace("tare_g = 850", "tare_g = 3900"))
    said = ask(tmp_path, "--units", "us", "drydown", case)
    assert "3900 g" in said.stderr
    assert " oz" not in said.stderr


def test_a_screen_that_knows_no_powers_is_no_trouble(tmp_path, monkeypatch):
    monkeypatch.setenv("PYTHONIOENCODING", "ascii")
    done = ask_outside(tmp_path, "pot", POT)
    assert (done.returncode, done.stderr) == (0, "")


def test_one_weight_of_long_ago_is_as_good_as_none(tmp_path, case):
    """Evidence halves every two days; after a fortnight it tells nothing."""
    table = case.parent / "weights.csv"
    table.write_text("".join(table.read_text().splitlines(keepends=True)[:2]))
    said = ask(tmp_path, "drydown", case, "--json")
    assert said.exit_code == 0, said.output
    assert json.loads(said.stdout, parse_constant=no_constant)["score"] is None
