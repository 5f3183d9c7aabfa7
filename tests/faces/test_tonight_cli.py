"""A real tonight: hosts that speak as the services do, and then are gone."""

import json
from datetime import timedelta

import pytest

from tests.faces.ask import ask
from tests.services import NOW, SOURCES, host, http_date, open_meteo_reply

PLACE = ["--at", "45.7,13.8", "--timezone", "Europe/Rome"]
EVENING = NOW + timedelta(hours=7)
CHOSEN = {
    "forecast": ("open-meteo", []),
    "members": ("open-meteo-members", []),
    "met": ("met-norway", ["--contact", "trees@stone-stair.example"]),
}


@pytest.fixture
def home(tmp_path):
    told = ask(tmp_path, "yard", "add", "Stone Stair", *PLACE, now=NOW)
    assert told.exit_code == 0, told.output
    bench = ["Terrace", "--trees", 3, "--species", "ficus-microcarpa"]
    assert ask(tmp_path, "bench", "add", *bench, now=NOW).exit_code == 0
    return tmp_path


def choose(home, source, url, *how):
    said = ask(home, "weather", "choose", source, "--host", url, *how, now=NOW)
    assert said.exit_code == 0, said.output
    return said


def today(home, now, *words):
    said = ask(home, "today", *words, now=now)
    assert said.exit_code == 0, said.output
    return said


@pytest.mark.parametrize("name", CHOSEN)
def test_today_asks_each_service_and_answers_when_it_is_gone(home, name):
    source, how = CHOSEN[name]
    with host() as served:
        served.says(SOURCES[name][1]())
        chosen = choose(home, source, served.url, *how)
        assert "Thanks to" in chosen.stdout  # and its terms before
        live = today(home, NOW)
        assert "Nothing to bring in tonight; lowest about 1" in live.stdout
        assert source in live.stderr  # whom to thank
        assert len(served.asked) == 1
    evening = today(home, EVENING)
    assert "Nothing to bring in tonight" in evening.stdout
    assert "old, from " + source in evening.stderr
    assert "cannot be reached" in evening.stderr
    tomorrow = today(home, NOW + timedelta(hours=26))
    assert "Tonight unknown" in tomorrow.stdout
    assert "None of the chosen sources" in tomorrow.stderr


def test_stretches_carry_source_and_age(home):
    with host() as served:
        served.says(SOURCES["forecast"][1]())
        choose(home, "open-meteo", served.url)
        today(home, NOW)
    answer = json.loads(today(home, EVENING, "--json").stdout)
    stretches = answer["weather"]["stretches"]
    ages = {s["source"]: s["age_h"] for s in stretches}
    assert ages["open-meteo"] == pytest.approx(7)
    assert ages.get("normals") is None


def test_offline_asks_nobody(home):
    with host() as served:
        served.says(SOURCES["forecast"][1]())
        choose(home, "open-meteo", served.url)
        assert "Tonight unknown" in today(home, NOW, "--offline").stdout
        assert served.asked == []


def test_history_shows_what_yesterdays_answer_rested_on(home):
    with host() as served:
        served.says(SOURCES["forecast"][1]())
        choose(home, "open-meteo", served.url)
        yesterday = today(home, NOW)
    night = yesterday.stdout.splitlines()[1]
    said = ask(home, "weather", "--history", now=NOW + timedelta(days=1))
    assert said.exit_code == 0, said.output
    assert night in said.stdout
    assert "open-meteo, forecast, then 0 h" in said.stdout
    assert "batches of the archive: 1" in said.stdout
    words = ["weather", "history", "--on", "2026-07-09", "--json"]
    told = json.loads(ask(home, *words, now=NOW + timedelta(days=9)).stdout)
    (answer,) = told["answers"]
    assert answer["batches"][0]["kept"]["source"] == "open-meteo"
    assert answer["ground"]["used"] == [1]


def test_a_source_is_tried_asked_and_its_age_told(home):
    with host() as served:
        served.says(SOURCES["met"][1]())
        choose(home, "met-norway", served.url, *CHOSEN["met"][1])
        tried = ask(home, "weather", "try", "met-norway", now=NOW)
        assert "Nothing was stored" in tried.stdout
        assert "nobody has told" in ask(home, "weather", now=NOW).stdout
        asked = ask(home, "weather", "ask", now=NOW)
        assert asked.exit_code == 0
        assert "new rows are stored" in asked.stdout
    age = ask(home, "weather", "age", now=EVENING)
    assert "old, from met-norway" in age.stdout
    assert "Data from MET Norway" in age.stdout
    later = NOW + timedelta(hours=2)
    failed = ask(home, "weather", "ask", now=later)
    assert failed.exit_code == 1
    assert "cannot be reached" in failed.stderr


def test_a_key_comes_unseen_and_goes_to_the_host_alone(home):
    with host() as served:
        served.says(SOURCES["forecast"][1]())
        words = ["weather", "choose", "open-meteo", "--host", served.url, "--with-key"]
        said = ask(home, *words, now=NOW, typed="paid-4711\n")
        assert "4711" not in said.output
        told = today(home, NOW, "--json")
        assert "apikey=paid-4711" in served.asked[0][0]
    assert "4711" not in told.output
    assert "4711" not in ask(home, "weather", "list", "--json", now=NOW).output
    assert b"4711" not in (home / "book.db").read_bytes()
    assert b"4711" not in (home / "weather.db").read_bytes()


def cells(reply, name, change):
    reply["hourly"][name] = [change(cell) for cell in reply["hourly"][name]]
    return reply


def swapped(reply):
    units = reply["hourly_units"]
    one, other = "temperature_2m", "relative_humidity_2m"
    units[one], units[other] = units[other], units[one]
    return reply


BROKEN = {
    "kelvin": lambda r: cells(r, "temperature_2m", lambda c: c + 273.15),
    "humidity above one": lambda r: cells(r, "relative_humidity_2m", lambda c: c * 2),
    "sun by night": lambda r: cells(r, "shortwave_radiation", lambda c: 800.0),
    "units swapped": swapped,
    "another day": lambda r: open_meteo_reply(from_h=-240),
    "no member told": lambda r: cells(r, "temperature_2m", lambda c: None),
    "an error with status 200": lambda r: {"error": True, "reason": "not today"},
    "no JSON": lambda r: "<html>moved</html>",
    "cut in the middle": lambda r: json.dumps(r)[:4000],
}


@pytest.mark.parametrize("how", BROKEN)
def test_what_cannot_be_is_refused_and_the_round_is_told_in_any_case(home, how):
    with host() as served:
        served.says(BROKEN[how](open_meteo_reply()))
        choose(home, "open-meteo", served.url)
        answer = today(home, NOW)
        assert "Tonight unknown" in answer.stdout
        assert "open-meteo" in answer.stderr
    held = json.loads(ask(home, "weather", "list", "--json", now=NOW).stdout)
    assert held["batches"] == []
    assert [asked["outcome"] for asked in held["asked"]] == ["failed"]


@pytest.mark.parametrize("status", [403, 429, 503])
def test_a_refusal_is_told_and_the_host_left_alone_for_a_while(home, status):
    with host() as served:
        served.says({"error": True, "reason": "not today"}, status)
        choose(home, "open-meteo", served.url)
        assert f"({status}" in today(home, NOW).stderr
        today(home, NOW + timedelta(minutes=10))
        assert len(served.asked) == 1
        served.says(open_meteo_reply())
        assert "Nothing to bring in" in today(home, NOW + timedelta(hours=2)).stdout


def test_a_304_keeps_the_last_word_and_lets_it_age(home):
    with host() as served:
        served.says(SOURCES["met"][1](), Last_Modified=http_date(NOW.timestamp()))
        choose(home, "met-norway", served.url, *CHOSEN["met"][1])
        today(home, NOW)
        served.says("", 304)
        later = NOW + timedelta(hours=4)
        assert "Nothing to bring in" in today(home, later).stdout
        assert "If-Modified-Since" in served.asked[1][1]
    answer = json.loads(today(home, later, "--json", "--offline").stdout)
    ages = {s["source"]: s["age_h"] for s in answer["weather"]["stretches"]}
    assert ages["met-norway"] > 4
