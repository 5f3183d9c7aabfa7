"""Weather from a station's file, and the book in again, from the command line."""

import json

import pytest

from tests.faces.ask import ask

TABLE = "When,Out,Hum\n" + "".join(
    f"2026-07-{day:02} {hour:02}:00,{68 + hour / 2},55\n"
    for day in (1, 2)
    for hour in range(24)
)
MAPPED = ["--map", "When=time", "--map", "Out=air_temperature_c:degF"]
MAPPED += ["--map", "Hum=relative_humidity_frac:%", "--zone", "Europe/Rome"]


@pytest.fixture
def home(tmp_path):
    """Return a home with one yard, and a station's file beside it."""
    assert ask(tmp_path, "yard", "add", "Home", "--at", "45.7,13.8").exit_code == 0
    (tmp_path / "wx.csv").write_text(TABLE)
    return tmp_path


def test_a_stations_file_comes_in_once(home):
    said = ask(home, "weather", "add", home / "wx.csv", *MAPPED)
    assert said.exit_code == 0, said.output
    assert "48 rows" in said.stdout
    again = ask(home, "weather", "add", home / "wx.csv", *MAPPED)
    assert "held already" in again.stdout
    held = json.loads(ask(home, "weather", "list", "--json").stdout)
    assert [batch["rows_n"] for batch in held["batches"]] == [48]
    assert held["schema"] == "arbuscula.weather_list/1"
    assert "station" in ask(home, "weather", "list").stdout


def test_a_map_with_faults_is_refused_and_nothing_comes_in(home):
    slips = ["--map", "When=time", "--map", "Out=air_temperatur_c"]
    said = ask(home, "weather", "add", home / "wx.csv", *slips)
    assert said.exit_code == 2
    assert "air_temperature_c" in said.stderr
    assert json.loads(ask(home, "weather", "list", "--json").stdout)["batches"] == []


def test_a_book_goes_out_and_comes_in_elsewhere(home, tmp_path_factory):
    ask(home, "bench", "add", "South", "--trees", 3, "--species", "ficus-microcarpa")
    assert ask(home, "export", home / "book.jsonl").exit_code == 0
    other = tmp_path_factory.mktemp("other")
    said = ask(other, "import", home / "book.jsonl")
    assert said.exit_code == 0, said.output
    listed = [ask(place, "tree", "list", "--json").stdout for place in (home, other)]
    assert listed[0] == listed[1]
    assert len(json.loads(listed[0])["trees"]) == 3
    again = json.loads(ask(other, "import", home / "book.jsonl", "--json").stdout)
    assert again["new_n"] == 0
