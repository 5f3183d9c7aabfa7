"""A bench from the command line: said in plain options, told by month."""

import json
from dataclasses import replace

import numpy as np
import pytest

from arbuscula.kinds.forecast import WeatherSort
from arbuscula.start import desk_at
from arbuscula.weather.archive import add_batch
from tests.desk.made_yard import batch, rows
from tests.faces.ask import ask

FIG = ["--species", "ficus-microcarpa"]


@pytest.fixture
def home(tmp_path):
    ok(tmp_path, "yard", "add", "Home", "--at", "45.7,13.8")
    return tmp_path


def ok(home, *words):
    said = ask(home, *words)
    assert said.exit_code == 0, said.output
    return said.stdout


def told(home, *words):
    return json.loads(ok(home, *words, "--json"))


def test_a_dark_room_says_that_a_fig_dies_there_with_the_figure(home):
    ok(home, "bench", "add", "Cellar", "--exposure", "room")
    words = ok(home, "bench", "Cellar")
    assert "Will die here of darkness" in words
    assert "0.5" in words
    assert "One reading of a light meter" in words


def test_a_dim_window_says_that_a_fig_is_kept_and_not_grown(home):
    ok(home, "bench", "add", "Sill", "--exposure", "window", "--facing", "north")
    ok(home, "bench", "set", "Sill", "--opposite", "8 m high, 20 m off")
    ok(home, "bench", "set", "Sill", "--from-glass", "40")
    words = ok(home, "bench", "Sill")
    assert "Is kept here, not grown" in words
    bench = told(home, "bench", "show", "Sill")["bench"]
    assert bench["obstruction_deg"] == pytest.approx(21.8, abs=0.05)
    assert bench["glass_distance_cm"] == 40
    assert bench["facing_deg"] == 0


def test_the_one_answer_has_light_air_roots_and_rain(home):
    ok(home, "bench", "add", "Terrace", "--trees", 2, *FIG, "--pot", "oval 18 cm")
    answer = told(home, "bench", "Terrace")
    assert answer["schema"] == "arbuscula.bench/1"
    assert [tree["label"] for tree in answer["trees"]] == ["T-1", "T-2"]
    assert answer["rain_frac"] == 1
    assert answer["pot"]["length_mm"] == 180
    july = answer["months"][6]
    assert july["dli_mol_m2_d"]["p10"] < july["dli_mol_m2_d"]["p50"] < 60
    assert july["air_low_c"]["p50"] < july["air_mean_c"] < july["air_high_c"]["p50"]
    assert july["ball_low_c"]["p50"] < july["ball_high_c"]["p50"]
    assert july["suits"] == "grows"


def test_what_is_left_of_a_bench_is_told_in_pots_or_in_metres(home):
    ok(home, "bench", "add", "A", "--trees", 3, *FIG, "--capacity", "2")
    assert "Room for 0 more pots, of 2 in all." in ok(home, "bench", "A")
    pot = ["--pot", "oval 20 cm"]
    ok(home, "bench", "add", "B", "--trees", 3, *FIG, *pot, "--length", "1.5")
    assert "0.66 m are left, of 1.5 m" in ok(home, "bench", "B")


def test_another_species_is_asked_about_by_name(home):
    ok(home, "bench", "add", "Terrace", "--trees", 1, *FIG)
    words = ok(home, "bench", "show", "Terrace", "--species", "juniperus-chinensis")
    assert "Juniperus chinensis" in words
    assert "Will die here if it stays" not in words


def test_netting_that_hung_in_summer_darkens_summer_alone(home):
    """What changes over the year is told by when it was said."""
    ok(home, "bench", "add", "Tunnel", "--exposure", "shade netting", "--shade", "0.3")
    plain = told(home, "bench", "Tunnel")["months"]
    ok(home, "bench", "set", "Tunnel", "--shade", "0.7", "--at", "2020-01-01")
    ok(home, "bench", "set", "Tunnel", "--shade", "0.3")
    netted = told(home, "bench", "Tunnel")["months"]
    lighter = [
        month["dli_mol_m2_d"]["p50"] > 1.5 * after["dli_mol_m2_d"]["p50"]
        for month, after in zip(plain, netted, strict=True)
    ]
    assert sum(lighter) == 11


@pytest.mark.parametrize(
    ("option", "words"),
    [("--opposite", "tall"), ("--floor", "marsh"), ("--winter", "warm")],
)
def test_what_is_no_answer_is_refused(home, option, words):
    ok(home, "bench", "add", "Sill", "--exposure", "window")
    said = ask(home, "bench", "set", "Sill", option, words)
    assert said.exit_code == 2
    assert words in said.output


def test_nothing_said_is_nothing_written(home):
    ok(home, "bench", "add", "Sill", "--exposure", "window")
    assert ask(home, "bench", "set", "Sill").exit_code == 2


def test_a_bench_is_led_to_a_window_and_told_how_it_went(home):
    ok(home, "bench", "add", "Terrace", "--trees", 2, *FIG)
    ok(home, "bench", "add", "Tunnel", "--exposure", "shade netting", "--shade", "0.5")
    ok(home, "bench", "add", "Sill", "--exposure", "window", "--facing", "north")
    plan = ok(home, "bench", "move", "Terrace", "--to", "Sill", "--on", "2026-07-01")
    assert "1 Jul to" in plan
    assert "T-1, T-2 on Tunnel" in plan
    assert "two or three waves" in plan
    answer = told(home, "bench", "move", "T-1", "--to", "Sill", "--on", "2026-07-01")
    assert answer["schema"] == "arbuscula.bench_move/1"
    assert [stand["bench"] for stand in answer["stands"]] == ["Tunnel", "Sill"]
    assert "never moved" in ok(home, "tree", "moves", "T-1")
    ok(home, "record", "T-1", "set", "down", "bench=Sill")
    assert "No shade before" in ok(home, "tree", "moves", "T-1")
    assert told(home, "tree", "moves", "T-1")["moves"][0]["to"] == "Sill"


def test_the_season_of_a_bench_is_not_that_of_its_place(home):
    ok(home, "bench", "add", "Cellar", "--exposure", "room")
    words = ok(home, "season", "--bench", "Cellar")
    assert words.startswith("On Cellar nights usually stay at or above 10")
    answer = told(home, "season", "--bench", "Cellar")
    assert (answer["schema"], answer["bench"]) == ("arbuscula.season/1", "Cellar")
    assert ask(home, "season").exit_code == 2
    assert ask(home, "season", "Trieste", "--bench", "Cellar").exit_code == 2


def test_a_made_cold_night_fills_the_house_and_covers_the_rest(home):
    """A forecast from a file of hours: 4 degrees before dawn."""
    ok(home, "bench", "add", "Terrace", "--trees", 3, *FIG, "--pot", "oval 18 cm")
    ok(home, "bench", "add", "House", "--exposure", "glasshouse", "--heat-to", "12")
    ok(home, "bench", "set", "House", "--capacity", "2")
    desk = desk_at(home)
    now = desk.clock().replace(minute=0, second=0, microsecond=0)
    told_rows = rows(now, 72, members_n=8, night_c=4.0, spread_c=1.0)
    still = replace(
        told_rows,
        air_temperature_c=np.minimum(told_rows.air_temperature_c, 8.0),
    )
    cold = replace(batch("made", WeatherSort.FORECAST, still, now), yard="Home")
    add_batch(desk.archive(), cold)
    words = ok(home, "today")
    assert "Bring in 3 before dark" in words
    assert "Trip 1, to House: T-1, T-2." in words
    assert "Cover where they stand: T-3." in words
    assert "open the vents of House at the first sun" in words
    assert "fleece" in words
