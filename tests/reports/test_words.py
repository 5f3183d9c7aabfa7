from datetime import UTC, date, datetime
from pathlib import Path
from typing import get_args
from zoneinfo import ZoneInfo

import pytest
from babel.messages.pofile import read_po

from arbuscula.desk.listening import Outcome
from arbuscula.desk.watch import State
from arbuscula.kinds.alarm import Peril
from arbuscula.kinds.events import Sort
from arbuscula.kinds.forecast import WeatherSort
from arbuscula.kinds.place import Exposure
from arbuscula.kinds.round import Call
from arbuscula.kinds.said import Said
from arbuscula.kinds.technique import Phase, Standing, Verdict, Vigour
from arbuscula.kinds.tree import Crown
from arbuscula.reports.words import (
    WORDS,
    Voice,
    about_in_words,
    allowed_in_words,
    change_in_words,
    country_in_words,
    day_in_words,
    figure_in_words,
    languages,
    languages_in_words,
    months_in_words,
    number_in_words,
    part_in_words,
    place_in_words,
    sentence,
    species_in_words,
    worded,
)
from arbuscula.start import desk_at

METRIC, US = Voice(), Voice(system="us")


def test_there_are_words_in_english():
    assert "en" in languages()


@pytest.mark.parametrize(
    ("name", "figure", "metric", "us"),
    [
        ("water_ml", 640.0, "640 mL", "21.6 fl oz"),
        ("water_ml", 1455.2, "1,455 mL", "49.2 fl oz"),
        ("mass_g", 850.0, "850 g", "30 oz"),
        ("buy_l", 1.0, "1 L", "1.06 qt"),
        ("depth_mm", 70.0, "70 mm", "2.8 in"),
        ("suction_cm", 7.0, "7 cm", "2.8 in"),
        ("area_cm2", 423.0, "423 cm²", "66 in²"),
        ("night_low_c", -3.2, "-3.2°C", "26°F"),
        ("missing_h", 3.0, "3 hr", "3 hr"),
        ("air_frac", 0.224, "22 %", "22 %"),
        ("demand_ratio", 0.937, "0.94", "0.94"),
    ],
)
def test_a_name_tells_the_unit(name, figure, metric, us):
    """Factors of NIST Handbook 44: fl oz 29.57 mL, oz 28.35 g, qt 946.4 mL."""
    assert figure_in_words(name, figure, METRIC) == metric
    assert figure_in_words(name, figure, US) == us


@pytest.mark.parametrize(
    ("name", "figure", "told"),
    [
        ("grain_mm", 0.814, "0.81 mm"),
        ("grain_mm", 3.4, "3.4 mm"),
        ("grain_mm", 0.0, "0 mm"),
        ("rate_ml", -0.26, "-0.26 mL"),
        ("height_mm", 12.6, "13 mm"),
    ],
)
def test_a_small_number_keeps_two_figures(name, figure, told):
    assert figure_in_words(name, figure, METRIC) == told


def test_days_and_moments():
    assert figure_in_words("by", date(2026, 7, 9), METRIC) == "Thu 9 Jul"
    at = datetime(2026, 6, 5, 8, 30, tzinfo=ZoneInfo("Europe/Rome"))
    assert figure_in_words("at", at, METRIC) == "Fri 5 Jun, 08:30"
    at = datetime(2026, 6, 5, 8, 30, tzinfo=UTC)  # no yard's clock told it
    assert figure_in_words("at", at, METRIC) == "Fri 5 Jun, 08:30 UTC"
    there = at.astimezone(ZoneInfo("Europe/Rome"))  # the same moment
    assert figure_in_words("at", there, METRIC) == "Fri 5 Jun, 10:30"


@pytest.mark.parametrize(
    ("language", "july", "october"),
    [
        ("en", "Thu 9 Jul", "Sat 24 Oct"),
        ("de", "Do., 9. Juli", "Sa., 24. Okt."),
        ("it", "gio 9 lug", "sab 24 ott"),
    ],
)
def test_days_stand_as_each_language_writes_them(language, july, october):
    """As the Unicode CLDR has them, skeleton MMMEd."""
    voice = Voice(language)
    assert figure_in_words("by", date(2026, 7, 9), voice) == july
    assert figure_in_words("by", date(2026, 10, 24), voice) == october


@pytest.mark.parametrize(
    ("language", "told"), [("en", "14 days"), ("de", "14 Tage"), ("it", "14 giorni")]
)
def test_days_are_spelt_out_where_their_short_form_reads_badly(language, told):
    assert figure_in_words("rest_d", 14.0, Voice(language)) == told


def test_what_stands_in_a_file_is_quoted_and_neither_obeyed_nor_filled_in():
    figures = {"file": "\x1b[2J\u2028{secret}", "known": "Säge, 無花果"}
    told = sentence(Said("mix.nothing", figures), METRIC)
    assert told.startswith(r"\x1b[2J\u2028{secret}: ")
    assert "Säge, 無花果" in told


@pytest.mark.parametrize(
    ("ending", "day", "told"),
    [
        ("day", "06-26", "26 June"),
        ("about", "06-26", "25 June"),
        ("about", "06-28", "30 June"),
        ("about", "06-02", "1 June"),
        ("about", "02-28", "28 February"),
        ("about", "07-31", "30 July"),
        ("part", "06-10", "early June"),
        ("part", "06-11", "mid June"),
        ("part", "06-20", "mid June"),
        ("part", "06-21", "late June"),
    ],
)
def test_days_of_any_year_are_told_as_people_tell_them(ending, day, told):
    in_words = {"day": day_in_words, "about": about_in_words, "part": part_in_words}
    assert in_words[ending](day, METRIC) == told


def test_the_ending_of_a_figures_name_tells_how_a_day_is_told():
    figures = {"start_part": "05-25", "end_part": "09-16"}
    told = sentence(Said("season.grows_from", figures), METRIC)
    assert told == "it grows from late May to mid September."


def test_a_difference_in_warmth_is_no_temperature():
    assert figure_in_words("error_k", 1.09, METRIC) == "1.1°C"
    assert figure_in_words("error_k", 1.09, US) == "2°F"


def test_countries_months_and_species_have_names():
    assert country_in_words("NO", METRIC) == "Norway"
    assert country_in_words("", METRIC) == ""
    assert months_in_words(METRIC)[6] == "Jul"
    assert species_in_words("ficus-microcarpa") == "Ficus microcarpa"


def test_a_figure_that_nobody_could_read_is_told_by_its_size():
    assert figure_in_words("trunk_mm", 1e25, Voice()) == "1e+25 mm"
    assert figure_in_words("left_frac", -1e30, Voice()) == "-1e+30 frac"


NAMED = {  # kind of word: all that the code calls so
    "call": Call,
    "crown": get_args(Crown),
    "exposure": Exposure,
    "peril": Peril,
    "phase": Phase,
    "sort": (*Sort, *WeatherSort),
    "standing": Standing,
    "state": get_args(State),
    "verdict": Verdict,
    "vigour": Vigour,
    "outcome": get_args(Outcome),
}


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("kind", NAMED)
def test_whatever_the_code_names_has_a_word(kind, language):
    with (WORDS / f"{language}.po").open("rb") as lines:
        words = {m.id: m.string for m in read_po(lines)}
    assert [one for one in NAMED[kind] if not words.get(f"word.{kind}.{one}")] == []


def test_a_technique_is_called_in_english_as_its_file_has_it():
    techniques = desk_at(Path()).library().techniques
    assert techniques
    for key, technique in techniques.items():
        assert worded("technique", key, Voice()) == technique.title


def test_several_words_are_joined_and_a_growers_own_stays():
    assert worded("phase", "rest, waking", Voice()) == "rest or waking"
    assert worded("technique", "repot, wire", Voice()) == "repot and wire"
    assert worded("technique", "turn-about", Voice()) == "turn-about"


@pytest.mark.parametrize(
    ("allowed", "told"),
    [
        ("0 to 1", "0 to 1"),
        ("-20.5 to 50 g", "-20.5 to 50 g"),
        ("a number or a table", "a number or a table"),
        ("thin, normal", "thin, normal"),
        ("http or https", "http or https"),
    ],
)
def test_what_would_do_is_told_in_words_around_what_is_typed(allowed, told):
    assert allowed_in_words(allowed, Voice()) == told


@pytest.mark.parametrize(
    ("place", "german"),
    [
        ("trees.csv, row 2, crown", "trees.csv, Zeile 2, crown"),
        ("trees.csv, rows 2, 3, 4 and 37 more, species", None),
        ("a, row of figs.csv", "a, row of figs.csv"),
        ("case.toml", "case.toml"),
    ],
)
def test_rows_of_a_table_are_told_in_words(place, german):
    assert place_in_words(place, Voice()) == place
    told = "trees.csv, Zeilen 2, 3, 4 und noch 37, species"
    assert place_in_words(place, Voice("de")) == (german or told)


@pytest.mark.parametrize(
    ("number", "english", "german"),
    [
        (0.0, "0", "0"),
        (0.15, "0.15", "0,15"),
        (12.345, "12.3", "12,3"),
        (1500.0, "1,500", "1.500"),
        (2e-6, "0.000002", "0,000002"),
    ],
)
def test_a_bare_number_has_the_decimal_sign_of_its_language(number, english, german):
    assert number_in_words(number, Voice()) == english
    assert number_in_words(number, Voice("de")) == german


def test_a_change_of_warmth_bears_its_sign():
    assert change_in_words(1.42, Voice()) == "+1.4°C"
    assert change_in_words(-1.42, Voice("de")) == "-1,4 °C"
    assert change_in_words(-1.42, US) == "-2.6°F"


def test_languages_are_called_as_their_speakers_call_them():
    assert languages_in_words(Voice()) == "Deutsch, English or italiano"
