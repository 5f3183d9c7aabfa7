"""`drydown`, `mix` and `pot`: what they print, and what they refuse."""

import json
import re
import shutil
from pathlib import Path

import pytest

from tests.faces.ask import ask, ask_outside

EXAMPLE = Path(__file__).parents[2] / "examples/bench-fig"
PARTS = "3 pumice 4 mm, 4 akadama, 1 pine-bark"
POT = "oval 235 x 180 x 70"


@pytest.fixture
def case(tmp_path):
    """Return a copy of the example case."""
    shutil.copytree(EXAMPLE, tmp_path / "case")
    return tmp_path / "case/case.toml"


def changed(path, pattern, by, count=0):
    text, n = re.subn(pattern, by, path.read_text(), count=count, flags=re.MULTILINE)
    assert n, pattern
    path.write_text(text)


def refused(tmp_path, case, *needed):
    """Return the one sentence of a refusal: on standard error, with exit code 2."""
    said = ask(tmp_path, "drydown", case)
    assert said.exit_code == 2, said.output
    assert said.stdout == ""
    assert "Traceback" not in said.output
    (line,) = said.stderr.strip().splitlines()
    for word in needed:
        assert word in line, line
    return line


def test_it_says_when_and_how_good_it_was(tmp_path):
    said = ask(tmp_path, "drydown", EXAMPLE / "case.toml")
    assert said.exit_code == 0
    assert "Due on Fri 5 Jun" in said.stdout
    assert "as yesterday" in said.stdout


def test_data_go_to_standard_output_as_one_line(tmp_path):
    said = ask(tmp_path, "drydown", EXAMPLE / "case.toml", "--json")
    answer = json.loads(said.stdout)
    assert answer["schema"] == "arbuscula.drydown/1"
    assert len(said.stdout.strip().splitlines()) == 1
    assert set(answer["due"]) == {"p10", "p50", "p90"}
    assert set(answer["learned"]) == {"demand", "capacity"}
    assert {h["horizon_h"] for h in answer["score"]["horizons"]} == {24, 72, 120}
    assert answer["yardstick_mm_d"] == pytest.approx(5, abs=2)  # a lawn in June


def test_a_process_of_its_own_says_the_same(tmp_path):
    inside = ask(tmp_path, "drydown", EXAMPLE / "case.toml", "--json")
    outside = ask_outside(tmp_path, "drydown", EXAMPLE / "case.toml", "--json")
    assert outside.returncode == 0
    assert json.loads(outside.stdout) == json.loads(inside.stdout)


def test_short_gaps_are_bridged_and_said_on_standard_error(tmp_path, case):
    table = case.parent / "weather.csv"
    lines = table.read_text().splitlines()
    table.write_text("\n".join(lines[:50] + lines[53:]) + "\n")
    said = ask(tmp_path, "drydown", case)
    assert said.exit_code == 0
    assert "row 50" in said.stderr
    assert "3 hr" in said.stderr


@pytest.mark.parametrize("units", ["metric", "us"])
def test_units_change_the_words_and_not_the_answer(tmp_path, units):
    said = ask(tmp_path, "--units", units, "mix", PARTS, "--pot", POT)
    assert said.exit_code == 0
    assert ("fl oz" in said.stdout) == (units == "us")


def test_mix_says_what_to_buy_and_what_nobody_knows(tmp_path):
    said = ask(tmp_path, "mix", PARTS, "--pot", POT)
    assert "Buy 0.94 L of pumice" in said.stdout
    assert "akadama: Natural granular clay" in said.stdout
    answer = json.loads(ask(tmp_path, "mix", PARTS, "--pot", POT, "--json").stdout)
    assert answer["schema"] == "arbuscula.mix/1"
    assert "pass" not in said.stdout.lower().split()  # never a verdict on pores


def test_pot_says_its_levels_and_its_neighbours(tmp_path):
    answer = json.loads(ask(tmp_path, "pot", POT, "--taper", 0.87, "--json").stdout)
    assert answer["schema"] == "arbuscula.pot/1"
    assert answer["profile"][0]["area_cm2"] < answer["profile"][-1]["area_cm2"]
    assert len(answer["near"]) == 3


# Bad input: one clear sentence, exit code 2, nothing printed as if it were an answer


def test_a_missing_column(tmp_path, case):
    changed(case.parent / "weather.csv", "^time,air_temperature_c", "time,air_temp")
    refused(tmp_path, case, "weather.csv", "air_temperature_c", "air_temp")


def test_fahrenheit_as_celsius(tmp_path, case):
    table = case.parent / "weather.csv"
    changed(table, r"^(2026-05-23T1\d:00\+02:00),([\d.]+)", r"\1,78.8")
    refused(tmp_path, case, "weather.csv", "air_temperature_c", "Fahrenheit", "78.8")


def test_humidity_in_percent(tmp_path, case):
    table = case.parent / "weather.csv"
    changed(table, r",0\.(\d\d),", r",\1,")
    refused(tmp_path, case, "weather.csv", "relative_humidity_frac", "0.62")


def test_a_time_that_stands_there_twice(tmp_path, case):
    changed(case.parent / "weather.csv", "^2026-05-22T05:00", "2026-05-22T04:00")
    refused(tmp_path, case, "weather.csv", "2026-05-22T04:00")


def test_times_out_of_order(tmp_path, case):
    changed(case.parent / "weather.csv", "^2026-05-23T05:00", "2026-05-22T04:30")
    refused(tmp_path, case, "weather.csv", "time")


def test_a_gap_of_more_than_six_hours(tmp_path, case):
    table = case.parent / "weather.csv"
    lines = table.read_text().splitlines()
    table.write_text("\n".join(lines[:50] + lines[60:]) + "\n")
    refused(tmp_path, case, "weather.csv", "row 50")


def test_a_negative_mass(tmp_path, case):
    changed(case.parent / "weights.csv", r"^(2026-05-24T07.*),\d", r"\1,-3")
    refused(tmp_path, case, "weights.csv", "mass_g", "-3")


def test_a_pot_of_no_size(tmp_path, case):
    changed(case, "^depth_mm = 70", "depth_mm = 0")
    refused(tmp_path, case, "case.toml", "pot.depth_mm", "0")


def test_a_mix_of_nothing(tmp_path, case):
    changed(case, "^(pumice|akadama|pine-bark) = .*$", "")
    refused(tmp_path, case, "case.toml", "mix", "akadama")


def test_an_unknown_species_with_its_neighbours(tmp_path, case):
    changed(case, "ficus-microcarpa", "ficus-microcapra")
    refused(tmp_path, case, "ficus-microcapra", "ficus-microcarpa")


def test_an_empty_file(tmp_path, case):
    (case.parent / "weather.csv").write_text("")
    refused(tmp_path, case, "weather.csv")


def test_two_gigabytes_are_refused_before_a_byte_is_read(tmp_path, case):
    with (case.parent / "weather.csv").open("r+b") as table:
        table.truncate(2_000_000_000)  # a hole on the disk
    refused(tmp_path, case, "weather.csv", "2,000 MB")


def test_weights_below_the_empty_pot(tmp_path, case):
    changed(case, "^tare_g = 850", "tare_g = 3900")
    refused(tmp_path, case, "weights.csv", "3900 g")


def test_times_without_an_offset(tmp_path, case):
    changed(case.parent / "weights.csv", r"\+02:00", "")
    refused(tmp_path, case, "weights.csv", "offset")


def test_broken_toml(tmp_path, case):
    case.write_text(case.read_text() + "\n[mix\n")
    refused(tmp_path, case, "case.toml", "TOML")


@pytest.mark.parametrize("number", ["nan", "inf", "-inf"])
def test_numbers_that_are_none(tmp_path, case, number):
    changed(case, "^tare_g = 850", f"tare_g = {number}")
    refused(tmp_path, case, "case.toml", "pot.tare_g")


@pytest.mark.parametrize("name", ["nowhere.toml", "."])
def test_a_file_that_is_none(tmp_path, name):
    refused(tmp_path, tmp_path / name, str(tmp_path))


def test_a_forecast_outside_the_weather(tmp_path, case):
    changed(case, "^forecast_from = 2026-06", "forecast_from = 2027-06")
    refused(tmp_path, case, "weather.csv", "2027-06-05")


def test_all_faults_of_a_file_at_once(tmp_path, case):
    changed(case, "^length_mm = 235", "length_mm = -1")
    changed(case, '^wall = "glazed"', 'wall = "gold"')
    changed(case, "^leaf_area_m2", "leaf_aera_m2")
    said = ask(tmp_path, "drydown", case)
    assert said.exit_code == 2
    lines = said.stderr.strip().splitlines()
    assert len(lines) == 3
    for word in ("pot.length_mm", "pot.wall", "leaf_area_m2"):
        assert any(word in line for line in lines)


@pytest.mark.parametrize(
    ("words", "needed"),
    [
        (["mix", "3 pumce", "--pot", POT], ["pumce", "pumice"]),
        (["mix", "pumice", "--pot", POT], ["pumice"]),
        (["pot", "hexagon 20"], ["hexagon 20", "box, oval, round"]),
        (["pot", "oval 235 x 180 x 70", "--taper", "0"], ["taper"]),
    ],
)
def test_words_that_are_no_mix_and_no_pot(tmp_path, words, needed):
    said = ask(tmp_path, *words)
    assert said.exit_code == 2
    assert all(word in said.stderr for word in needed)
