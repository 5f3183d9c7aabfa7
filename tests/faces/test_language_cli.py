"""Words of the command line are those of the reader; data and what is typed are not."""

import json

import pytest

from tests.desk.stair import bench, stair
from tests.faces.ask import ask

POT = ("pot", "oval 235 x 180 x 70")


@pytest.fixture
def home(tmp_path):
    desk = stair(tmp_path, trees_n=2)
    bench(desk, "Sill", said={"exposure": "window"})
    return desk.home


def test_a_language_is_told_by_option_or_by_the_setting(home, monkeypatch):
    by_option = ask(home, "--language", "de", "bench", "list").output
    assert "Stellplatz" in by_option
    assert "Fenster" in by_option
    monkeypatch.setenv("ARBUSCULA_LANGUAGE", "de")
    assert ask(home, "bench", "list").output == by_option
    assert "finestra" in ask(home, "--language", "it", "bench", "list").output


def test_units_are_told_by_option_or_by_the_setting(home, monkeypatch):
    by_option = ask(home, "--units", "us", *POT).output
    assert "9.3 in" in by_option  # 235 mm
    monkeypatch.setenv("ARBUSCULA_UNITS", "us")
    assert ask(home, *POT).output == by_option


def test_data_are_the_same_in_every_language(home):
    english, german = (
        json.loads(ask(home, "--language", one, "bench", "list", "--json").output)
        for one in ("en", "de")
    )
    assert english == german


def test_faults_are_told_in_the_language_and_names_as_typed(home):
    said = ask(home, "--language", "de", "record", "B3-1", "chekc", "half")
    assert said.exit_code == 2
    assert said.stderr == "„chekc half“ steht für keinen Eintrag; möglich: checked.\n"


def test_a_language_without_words_is_refused(home, monkeypatch):
    monkeypatch.setenv("ARBUSCULA_LANGUAGE", "xx")
    said = ask(home, "bench", "list")
    assert said.exit_code == 2
    assert "ARBUSCULA_LANGUAGE" in said.stderr or "--language" in said.stderr
