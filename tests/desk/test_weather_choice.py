"""Which sources a yard asks, and what never stands in the book."""

import os
from dataclasses import replace
from datetime import timedelta
from itertools import count
from shutil import rmtree

import pytest

from arbuscula.desk.grounds import grounds_in
from arbuscula.desk.listening import ask_weather, kept_fresh, try_weather
from arbuscula.desk.today import today
from arbuscula.desk.weather_age import weather_age, weather_history
from arbuscula.desk.weather_choice import (
    FILE,
    choose_weather,
    drop_weather,
    prefer_weather,
    reaches,
    weather_choices,
)
from arbuscula.kinds.forecast import Reach, WeatherSort
from arbuscula.kinds.said import ArbusculaError, NotDoneError
from arbuscula.ledger.book import all_events
from arbuscula.ledger.lines import line_from_event
from arbuscula.weather.archive import add_batch, askings, batches
from tests.desk.stair import desk_of, faults, later, rec, stair
from tests.services import NOW, SOURCES, STATION, host, station_text
from tests.weathers import hours, observed

CONTACT = Reach(contact="trees@stone-stair.example")
YARD = "Stone Stair"
PAID = {"secret": "k3y-that-was-paid"}


@pytest.fixture
def desk(tmp_path):
    ticks = count()
    told = replace(stair(tmp_path, trees_n=2), clock=lambda: NOW)
    return replace(told, clock=lambda: NOW + timedelta(microseconds=next(ticks)))


@pytest.fixture
def served():
    with host() as there:
        yield there


def order(desk):
    return [c.source for c in weather_choices(desk).sources if c.order_n]


def test_no_source_is_asked_until_it_is_chosen(desk):
    assert order(desk) == []
    assert kept_fresh(desk, YARD, yard_of(desk)) == ()
    assert askings(desk.archive(), YARD) == ()
    with pytest.raises(NotDoneError) as refused:
        ask_weather(desk)
    assert refused.value.faults[0].message_id == "weather.none_chosen"


def yard_of(desk):
    from arbuscula.desk.yard import list_yards

    return list_yards(desk).yards[0].yard


def test_choosing_tells_the_terms_and_whom_to_thank(desk):
    answer = choose_weather(desk, "met-norway", CONTACT)
    (chosen,) = [c for c in answer.sources if c.source == answer.named]
    assert chosen.terms.message_id == "weather.terms_met_norway"
    assert "MET Norway" in chosen.attribution


def test_sources_are_preferred_taken_away_and_chosen_again(desk):
    choose_weather(desk, "met-norway", CONTACT)
    choose_weather(desk, "open-meteo", Reach())
    choose_weather(desk, "nasa-power", Reach(), is_first=True)
    assert order(desk) == ["nasa-power", "met-norway", "open-meteo"]
    prefer_weather(desk, ["open-meteo"])
    assert order(desk) == ["open-meteo", "nasa-power", "met-norway"]
    drop_weather(desk, "nasa-power")
    choose_weather(desk, "open-meteo", Reach(model="icon_seamless"))
    assert order(desk) == ["open-meteo", "met-norway"]
    assert reaches(desk)[YARD]["open-meteo"].model == "icon_seamless"
    drop_weather(desk, "open-meteo")
    drop_weather(desk, "met-norway")
    assert order(desk) == []
    assert reaches(desk) == {}


def test_the_order_stands_in_the_book_and_keys_do_not(desk):
    secret = Reach(**PAID, host="https://weather.example")
    choose_weather(desk, "open-meteo", secret)
    choose_weather(desk, "met-norway", CONTACT)
    lines = "".join(line_from_event(e) for e in all_events(desk.ledger()))
    assert '"weather":["open-meteo","met-norway"]' in lines
    assert not any(w in lines for w in ("k3y", "weather.example", "trees@"))
    assert (desk.home / FILE).stat().st_mode & 0o777 == 0o600
    assert reaches(desk)[YARD] == {"open-meteo": secret, "met-norway": CONTACT}


@pytest.mark.skipif(os.name != "posix", reason="modes are POSIX")
def test_a_file_of_keys_that_others_may_read_is_refused(desk):
    choose_weather(desk, "met-norway", CONTACT)
    (desk.home / FILE).chmod(0o644)
    assert "settings.open" in faults(desk, lambda: reaches(desk))
    told = {note.message_id for note in today(desk).notes}  # an answer in any case
    assert "settings.open" in told


def test_faults_of_the_file_are_told_at_once(desk):
    path = desk.home / FILE
    path.write_text('["Stone Stair".met-norway]\ncontakt = "x"\nhost = 7\n')
    path.chmod(0o600)
    with pytest.raises(ArbusculaError) as refused:
        reaches(desk)
    ids = [fault.message_id for fault in refused.value.faults]
    assert sorted(ids) == ["file.fault", "file.unknown_key"]


REFUSED = [
    ("met-norway", Reach(), "weather.no_contact"),
    ("met-norway", Reach(contact="me@example.org\nX-Evil: 1"), "weather.odd_letters"),
    ("met-norway", Reach(**PAID, contact="me@example.org"), "weather.not_taken"),
    ("open-meteo", Reach(host="file:///etc/passwd"), "address.not_web"),
    ("open-meteo", Reach(host="https://"), "address.not_web"),
    (
        "open-meteo",
        Reach(**PAID, host="http://far.example"),
        "weather.key_in_clear",
    ),
    ("open-meteo", Reach(contact="me@example.org"), "weather.not_taken"),
    ("folder", Reach(place="/wx"), "weather.folder_how"),
    ("opn-meteo", Reach(), "weather.no_such_source"),
]


@pytest.mark.parametrize(("name", "reach", "fault"), REFUSED)
def test_what_cannot_be_reached_is_refused_at_the_door(desk, name, reach, fault):
    assert fault in faults(desk, lambda: choose_weather(desk, name, reach))
    assert order(desk) == []
    assert not (desk.home / FILE).exists()


def test_a_source_that_was_not_chosen_is_not_taken_away(desk):
    assert "weather.not_chosen" in faults(desk, lambda: drop_weather(desk, "folder"))


# Trying and asking


def test_trying_says_what_would_be_stored_and_stores_nothing(desk, served):
    _, reply = SOURCES["met"]
    served.says(reply())
    reach = replace(CONTACT, host=served.url)
    answer = try_weather(desk, "met-norway", reach=reach)
    (would,) = answer.batches
    assert (would.sort, would.members_n) == ("forecast", 1)
    assert would.rows_n > 48
    assert 14 < would.low_c < would.high_c < 28
    assert batches(desk.archive(), YARD) == ()
    assert askings(desk.archive(), YARD) == ()
    assert order(desk) == []


def test_asking_stores_and_one_failure_hides_no_other(desk, served):
    _, reply = SOURCES["met"]
    served.says(reply())
    choose_weather(desk, "open-meteo", Reach(host="http://127.0.0.1:9"))
    choose_weather(desk, "met-norway", replace(CONTACT, host=served.url))
    answer = ask_weather(desk)
    assert [(s.source, s.outcome) for s in answer.sources] == [
        ("open-meteo", "failed"),
        ("met-norway", "told"),
    ]
    assert [kept.source for kept in batches(desk.archive(), YARD)] == ["met-norway"]
    newest = weather_age(desk).newest
    assert newest.source == "met-norway"
    assert newest.age_h == pytest.approx(0.65, abs=0.01)  # updated at 9:41:12
    again = ask_weather(desk, ["open-meteo"])
    assert [s.outcome for s in again.sources] == ["holds"]  # left alone for a while


def test_the_yards_own_readings_are_taken_in_once(desk):
    rec(desk, YARD, "night_min 8.5", at="2026-07-09 07:30")
    rec(desk, YARD, "measured air_temperature_c 19.5", at="2026-07-09 11:30")
    for _ in range(2):
        assert kept_fresh(desk, YARD, yard_of(desk)) == ()
    kept = batches(desk.archive(), YARD)
    assert sorted(k.source for k in kept) == ["sensors", "thermometer"]
    assert {k.sort for k in kept} == {WeatherSort.OBSERVED}
    desk = later(desk, hours=2)
    rec(desk, YARD, "measured air_temperature_c 21", at="2026-07-09 13:30")
    kept_fresh(desk, YARD, yard_of(desk))
    assert len(batches(desk.archive(), YARD)) == 3


def test_a_folder_of_ones_own_station_is_read_at_every_answer(desk, tmp_path):
    wx = tmp_path / "wx"
    wx.mkdir()
    (wx / "july.csv").write_text(station_text())
    choose_weather(desk, "folder", Reach(place=str(wx), how=STATION))
    assert "station.csv" not in str(today(desk).notes)
    assert [k.source for k in batches(desk.archive(), YARD)] == ["folder"]


# Today


def test_today_asks_when_the_newest_word_is_old_and_not_before(desk, served):
    _, reply = SOURCES["met"]
    served.says(reply())
    choose_weather(desk, "met-norway", replace(CONTACT, host=served.url))
    today(desk, is_asking=False)
    today(desk, at=NOW)
    assert served.asked == []
    first = today(desk)
    assert len(served.asked) == 1
    assert any(s.source == "met-norway" for s in first.weather.stretches)
    today(later(desk, hours=2))
    assert len(served.asked) == 1
    today(later(desk, hours=4))
    assert len(served.asked) == 2


def test_a_forecast_of_this_morning_is_told_to_be_old(desk, served):
    _, reply = SOURCES["met"]
    served.says(reply())
    choose_weather(desk, "met-norway", replace(CONTACT, host=served.url))
    assert "weather.stale" not in {n.message_id for n in today(desk).notes}
    served.says("", 503)
    evening = later(desk, hours=9)
    notes = {n.message_id: n.figures for n in today(evening).notes}
    assert notes["weather.stale"]["age_h"] == pytest.approx(9.65, abs=0.01)
    assert "weather.failing" in notes
    tomorrow = today(later(desk, hours=25))
    assert tomorrow.tonight.parts[0].message_id == "cold.unknown"
    assert "weather.none_fresh" in {n.message_id for n in tomorrow.notes}


def test_a_host_that_says_nothing_does_not_keep_the_round_waiting(desk, served):
    from threading import Event
    from time import monotonic

    done = Event()
    served.behaves = lambda handler: done.wait(30) or True
    choose_weather(desk, "met-norway", replace(CONTACT, host=served.url))
    choose_weather(desk, "open-meteo", Reach(host=served.url))
    begun = monotonic()
    notes = kept_fresh(desk, YARD, yard_of(desk), patience_s=1.2)
    assert monotonic() - begun < 3  # both together, on a busy machine
    done.set()
    assert notes[0].message_id in ("weather.no_answer", "weather.unreachable")


# What answers rested on


def test_every_answer_keeps_the_weather_it_used(desk, served):
    _, reply = SOURCES["met"]
    served.says(reply())
    choose_weather(desk, "met-norway", replace(CONTACT, host=served.url))
    said = today(desk)
    (told,) = weather_history(later(desk, days=1)).answers
    assert told.ground.stretches == said.weather.stretches
    assert told.ground.said == said.tonight
    assert [b.kept.source for b in told.batches] == ["met-norway"]
    assert weather_history(later(desk, days=2)).answers == ()
    (again,) = weather_history(later(desk, days=9), on="2026-07-09").answers
    assert again == told


def test_what_was_answered_cannot_be_changed(desk):
    import sqlite3

    today(desk)
    with (
        sqlite3.connect(desk.home / "grounds.db") as db,
        pytest.raises(sqlite3.IntegrityError),
    ):
        db.execute("UPDATE ground SET digest = ''")
    db.close()


def test_without_an_answer_there_is_no_ground(tmp_path):
    from zoneinfo import ZoneInfo

    assert desk_of(tmp_path).home.exists()
    found = grounds_in(tmp_path, YARD, ZoneInfo("UTC"), from_s=0, until_s=1e12)
    assert found == ()


def test_another_order_of_trust_leaves_no_old_snapshot(desk):
    """Two services differ about the past; whom one trusts must be seen at once."""
    now_s = NOW.timestamp()
    for source, off_k in (("nasa-power", 0.0), ("open-meteo-archive", 8.0)):
        told = hours(-30 * 24, 30 * 24, air_c=18.0 + off_k)
        made = replace(observed(told), yard=YARD, source=source, read_s=now_s)
        add_batch(desk.archive(), replace(made, issued_s=now_s))
    choose_weather(desk, "nasa-power", Reach(host="http://127.0.0.1:9"))
    choose_weather(desk, "open-meteo-archive", Reach(host="http://127.0.0.1:9"))

    rec(desk, "Bench 3", "watered", at="2026-07-06 20:00")

    def chances():
        said = today(desk, at=NOW + timedelta(minutes=1))
        return [(t.p_due_now, t.due) for b in said.benches for t in b.trees]

    cool = chances()
    prefer_weather(desk, ["open-meteo-archive"])
    warm = chances()
    rmtree(desk.home / "snapshots")
    assert warm == chances() != cool
