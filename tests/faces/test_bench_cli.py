"""A bench from the command line: said in plain options, told by month."""

import json

import pytest

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
