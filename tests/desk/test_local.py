"""Own thermometers move the coming nights, and say by how much."""

from datetime import timedelta

import numpy as np
import pytest

from arbuscula.desk.followed import followed, yarded_at
from arbuscula.desk.local import weather_local
from arbuscula.desk.threats import threats_to
from arbuscula.desk.today import today
from arbuscula.kinds.alarm import Peril
from arbuscula.kinds.events import Measured, Reading, Sort
from arbuscula.ledger.book import append
from arbuscula.weather.local import night_share, shifted
from tests.desk.made_yard import NOW, desk_with, event, forecast, observe, rows

DAYS_N = 30


@pytest.fixture
def desk(tmp_path):
    """A month of forecasts, each told in the evening, of nights of 13 degrees."""
    desk = desk_with(tmp_path, benches=("terrace", "sill"))
    observe(desk)
    for day in range(DAYS_N):
        evening = NOW - timedelta(days=day, hours=15)  # 17:10 on the terrace
        forecast(desk, evening, hours_n=72, members_n=11, night_c=13.0)
    return desk


def measured(low_c):
    return Measured(reading=Reading(quantity="night_min_c", value=low_c))


def reads(desk, low_c, *, days=DAYS_N, about=(Sort.YARD, "stair")):
    """Let the thermometer be read every morning, a little before eight."""
    rng = np.random.default_rng(3)
    events = [
        event(
            f"{about[1]}-{day}",
            *about,
            measured(low_c + rng.normal(0, 0.5)),
            NOW - timedelta(days=day, minutes=20),
        )
        for day in range(days)
    ]
    append(desk.ledger(), *events)


def low_tonight_c(desk):
    threats, _ = threats_to(desk, yarded_at(desk, None, NOW), NOW)
    colds = [t for t in threats if t.peril is Peril.COLD]
    return {t.bench: t.figures["low_c"] for t in colds if t.when == "2026-07-08"}


def test_the_night_is_moved_in_full_and_the_afternoon_not_at_all():
    made = rows(NOW.replace(hour=0, minute=0), 48)
    share = night_share(made.from_s, made.until_s, 13.8)
    assert share.max() > 0.98
    assert share.min() < 0.02
    colder = shifted(made, -3.0, 13.8)
    off_k = made.air_temperature_c - colder.air_temperature_c
    assert off_k.max() == pytest.approx(3, abs=0.06)  # an hour has a middle
    assert off_k.min() < 0.06
    assert (colder.relative_humidity_frac >= made.relative_humidity_frac - 1e-12).all()


def test_a_hollow_where_cold_air_gathers_is_found(desk):
    before = low_tonight_c(desk)["terrace"]
    reads(desk, 10.0)
    local = weather_local(desk)
    nights = local.places[0].nights
    assert nights.shift_k == pytest.approx(-3, abs=0.6)  # read to half a kelvin
    assert nights.nights_n == DAYS_N
    assert low_tonight_c(desk)["terrace"] == pytest.approx(before - 3, abs=0.8)
    assert local.usual_nights_n == DAYS_N
    assert local.usual_night_k[6] < -2  # a July night is usually warmer there


def test_today_says_by_how_much_and_brings_in_whom_it_had_let_stand(desk):
    assert today(desk).bring_in == ()
    reads(desk, 10.0)
    answer = today(desk)
    notes = {note.message_id: note.figures for note in answer.notes}
    assert notes["weather.colder_here"]["shift_k"] == pytest.approx(3, abs=0.6)
    assert {c.label for c in answer.bring_in} == {f"T{n}" for n in range(1, 7)}


def test_two_nights_say_nothing_yet(desk):
    reads(desk, 10.0, days=2)
    notes = {note.message_id for note in today(desk).notes}
    assert "weather.colder_here" not in notes


def test_a_bench_of_its_own_is_moved_alone(desk):
    before = low_tonight_c(desk)["terrace"]
    reads(desk, 11.0, about=(Sort.BENCH, "terrace"))
    places = {p.place: p.nights for p in weather_local(desk).places}
    assert places["Stone Stair"].nights_n == 0
    assert places["Terrace"].shift_k == pytest.approx(-2, abs=0.6)
    assert low_tonight_c(desk)["terrace"] == pytest.approx(before - 2, abs=0.8)


def test_today_and_the_watch_agree_about_a_moved_bench(desk):
    reads(desk, 10.5, about=(Sort.BENCH, "terrace"))
    answer = today(desk)
    threats, _ = threats_to(desk, yarded_at(desk, None, NOW), NOW)
    (cold,) = [t for t in threats if t.peril is Peril.COLD and t.when == "2026-07-08"]
    (why, *_) = {c.why.figures["warn_frac"] for c in answer.bring_in}
    assert why == pytest.approx(cold.warn_frac)


def test_what_is_past_stays_as_it_was(desk):
    """So that a snapshot of two days ago is still the same to the last digit."""
    yarded = yarded_at(desk, None, NOW)
    before = followed(desk, yarded, NOW).weather.rows
    reads(desk, 10.0)
    after = followed(desk, yarded_at(desk, None, NOW), NOW).weather.rows
    past = before.until_s <= NOW.timestamp() - 3 * 3600
    assert (before.air_temperature_c == after.air_temperature_c)[..., past].all()
    assert not (before.air_temperature_c == after.air_temperature_c).all()


def test_what_had_been_told_is_worked_out_once(desk):
    reads(desk, 10.0)
    first = weather_local(desk)
    path = desk.home / "snapshots" / "stair" / "nights.json"
    written = path.read_text()
    assert weather_local(desk) == first
    assert path.read_text() == written
    path.write_text("not what it was")
    assert weather_local(desk) == first


def test_a_night_without_a_forecast_teaches_only_of_the_usual(tmp_path):
    desk = desk_with(tmp_path)
    reads(desk, 10.0, days=20)
    local = weather_local(desk)
    assert local.places[0].nights.nights_n == 0
    assert local.usual_nights_n == 20
