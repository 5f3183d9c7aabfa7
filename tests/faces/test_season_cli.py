"""`season`: what it prints, draws and refuses."""

import json
import re
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.faces.ask import ask, ask_outside

PAGE = Path(__file__).parents[2] / "docs/season.md"


def ok(home, *words):
    said = ask(home, "season", *words)
    assert said.exit_code == 0, said.output
    return said


def refused(home, *words):
    said = ask(home, "season", *words)
    assert said.exit_code == 2, said.output
    assert said.stdout == ""
    assert "Traceback" not in said.output
    (line,) = [x for x in said.stderr.strip().splitlines() if "also" not in x]
    return line


def test_the_first_line_can_be_read_to_a_buyer(tmp_path):
    first = ok(tmp_path, "Bergen").stdout.splitlines()[0]
    assert re.fullmatch(
        r"In Bergen it stands outside from about \d+ \w+ to \d+ \w+, and comes in on "
        r"any cold night \(under 10°C\); it grows from (early|mid|late) \w+ to "
        r"(early|mid|late) \w+\.",
        first,
    )


def test_both_windows_and_their_honest_addition_stand_side_by_side(tmp_path):
    said = ok(tmp_path, "Bergen").stdout
    assert re.search(
        r"practice: usual nights over 10°C +risk: at most 10 % a week", said
    )
    assert re.search(r"(?m)^out +\d+ June +-$", said)
    assert "weeks after the practice date" in said
    assert "In the safest week" in said
    assert re.search(r"base_c: 13 \(10 to 15\), assumed", said)
    assert "era5" in said


def test_twelve_months_are_tabled(tmp_path):
    said = ok(tmp_path, "Trieste").stdout
    rows = re.findall(r"(?m)^(?:Jan|Jun|Dec) .*%$", said)
    assert len(rows) == 3


def test_data_are_one_line_and_in_is_in(tmp_path):
    said = ok(tmp_path, "Trieste", "--json")
    assert len(said.stdout.strip().splitlines()) == 1
    answer = json.loads(said.stdout)
    assert answer["schema"] == "arbuscula.season/1"
    assert answer["place"]["timezone"] == "Europe/Rome"
    assert re.fullmatch(r"\d\d-\d\d", answer["outdoors"]["practice"]["in"])
    assert answer["sentence"].startswith("In Trieste it stands outside")
    assert answer["notes"][0]["words"].startswith("The last night under")


def test_a_process_of_its_own_says_the_same(tmp_path):
    outside = ask_outside(tmp_path, "season", "Trieste", "--json")
    assert outside.returncode == 0
    inside = ok(tmp_path, "Trieste", "--json").stdout
    assert json.loads(outside.stdout) == json.loads(inside)


def test_other_places_of_the_name_go_to_standard_error(tmp_path):
    said = ok(tmp_path, "Bergen", "--json")
    assert "Bergen, Germany" in said.stderr
    assert "also" not in said.stdout
    assert ok(tmp_path, "Bergen, Norway").stderr == ""


def test_a_southern_point_is_no_option(tmp_path):
    said = ok(tmp_path, "-33.9,18.4")
    assert said.stdout.startswith("At -33.9, 18.4 it stands outside")


def test_units_are_the_readers(tmp_path):
    us = ask(tmp_path, "--units", "us", "season", "Trieste")
    assert "(under 50°F)" in us.stdout
    assert "may be off by 2°F" in us.stdout


def test_a_local_night_moves_dates_and_is_told(tmp_path):
    said = ok(tmp_path, "Trieste", "--night-min", "May=10.0")
    assert "Your figures move the nights by -2.3°C" in said.stdout
    assert "One figure from the place helps" not in said.stdout
    assert "One figure from the place helps" in ok(tmp_path, "Trieste").stdout
    assert re.search(r"(?m)^out \+\d+$", said.stdout)
    moved = json.loads(
        ok(tmp_path, "Trieste", "--night-min", "May=10.0", "--json").stdout
    )["moved"]
    assert moved["out_d"] > 0 > moved["in_d"]


def test_a_thermometers_year_moves_dates(tmp_path):
    table = tmp_path / "minmax.csv"
    days = [date(2025, 1, 1) + timedelta(days=n) for n in range(365)]
    nights = [1 - abs(day.month - 7) for day in days]
    rows = [f"{d},{n + 12}" for d, n in zip(days, nights, strict=True)]
    table.write_text("date,night_min_c\n" + "\n".join(rows) + "\n")
    said = ok(tmp_path, "Trieste", "--minmax", table, "--json")
    assert json.loads(said.stdout)["moved"]["out_d"] > 0


def test_the_strip_is_written_and_the_words_come_as_well(tmp_path):
    strip = tmp_path / "year.svg"
    said = ok(tmp_path, "Trieste", "--svg", strip)
    assert strip.read_text().startswith("<svg ")
    assert str(strip) in said.stderr
    assert said.stdout.startswith("In Trieste")


def test_a_strip_that_cannot_be_written_is_explained(tmp_path):
    assert "cannot be written" in refused(
        tmp_path, "Trieste", "--svg", tmp_path / "nowhere" / "year.svg"
    )


@pytest.mark.parametrize(
    ("words", "needed"),
    [
        (["Triestte"], ["Triestte", "Trieste, IT"]),
        (["Xqzzyx"], ["Xqzzyx", "latitude,longitude"]),
        (["Cape Town, Norway"], ["Cape Town", "Norway"]),
        (["91,0"], ["91,0", "latitude"]),
        (["0,-30"], ["open sea"]),
        (["Bergen", "--species", "ficus-microcapra"], ["ficus-microcarpa"]),
        (["Bergen", "--night-min", "Mai=9"], ["Mai=9", "May=9.5"]),
        (["Bergen", "--night-min", "May=50"], ["Fahrenheit"]),
        (["Bergen", "--minmax", "nowhere.csv"], ["nowhere.csv"]),
    ],
)
def test_what_cannot_be_taken_is_one_clear_sentence(tmp_path, words, needed):
    line = refused(tmp_path, *words)
    for word in needed:
        assert word in line, line


def test_nothing_is_written_into_the_home(tmp_path):
    """It is asked before there is any book, and by whoever has none."""
    home = tmp_path / "home"
    ok(home, "Trieste")
    assert not home.exists()


def test_the_page_shows_real_output(tmp_path):
    command = re.search(r"(?m)^    arbuscula season (\w+)$", PAGE.read_text())[1]
    shown = re.search(r"(?s)```text\n(.*?)```", PAGE.read_text())[1]
    said = ok(tmp_path, command).stdout
    assert shown.splitlines() == [line.rstrip() for line in said.splitlines()]
