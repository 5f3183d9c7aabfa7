"""What threatens trees on a bench, by member and hour."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from arbuscula.desk.followed import yarded_at
from arbuscula.desk.threats import days_ahead, nights_ahead, threats_to
from arbuscula.desk.today import today
from arbuscula.desk.voices import silences
from arbuscula.desk.watch import look
from arbuscula.kinds.alarm import Peril
from arbuscula.kinds.events import Measured, Reading, Sort, Watered
from arbuscula.kinds.forecast import WeatherSort
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.supplies import WaterSource
from arbuscula.kinds.tree import Tree
from arbuscula.ledger.book import append
from arbuscula.weather.archive import add_batch
from tests.desk.made_yard import (
    BEGUN,
    HOUR_S,
    NOW,
    batch,
    desk_with,
    event,
    forecast,
    observe,
    rows,
)

EVENING = NOW.replace(hour=16)


@pytest.fixture
def desk(tmp_path):
    desk = desk_with(tmp_path, now=EVENING)
    observe(desk, until_at=EVENING)
    return desk


def found(desk, peril, when=None):
    at = desk.clock()
    threats, _ = threats_to(desk, yarded_at(desk, None, at), at)
    return [t for t in threats if t.peril is peril and when in (None, t.when)]


def told(desk, **how):
    """Let a forecast be told whose hours are as usual but for what is said."""
    made = rows(EVENING, 96, members_n=21)
    shape = made.air_temperature_c.shape
    made = replace(made, **{n: np.broadcast_to(v, shape) for n, v in how.items()})
    add_batch(desk.archive(), batch("made", WeatherSort.FORECAST, made, EVENING))


def test_nights_go_from_noon_to_noon_and_the_morning_after_is_the_same_night():
    evening = datetime(2026, 7, 8, 20, tzinfo=UTC)
    (night,) = nights_ahead(evening)
    last, coming = nights_ahead(evening + timedelta(hours=11))
    assert (night.name, last.name, coming.name) == (
        "2026-07-08",
        "2026-07-08",
        "2026-07-09",
    )
    assert last.ends == night.ends == coming.begins
    today_left, tomorrow = days_ahead(evening)
    assert (today_left.name, tomorrow.name) == ("2026-07-08", "2026-07-09")


def test_the_chance_of_each_hour_is_at_most_that_of_the_night(desk):
    forecast(desk, EVENING, members_n=21, night_c=10.0, spread_c=3.0)
    (cold,) = found(desk, Peril.COLD)
    chances = [frac for _, frac in cold.by_hour]
    assert max(chances) <= cold.warn_frac
    assert 0.3 < cold.warn_frac < 0.7
    assert cold.begins.hour >= 19 or cold.begins.hour < 9
    assert set(cold.trees) == {f"terrace-{n}" for n in range(1, 7)}


def test_the_watch_and_today_tell_the_same_night(desk):
    forecast(desk, EVENING, members_n=21, night_c=11.0, spread_c=3.0)
    answer = today(desk)
    (cold,) = found(desk, Peril.COLD)
    (why, *_) = {c.why.figures["warn_frac"] for c in answer.bring_in}
    assert why == cold.warn_frac
    assert {c.tree for c in answer.bring_in} == {*cold.trees}


def test_a_warm_night_threatens_nobody(desk):
    forecast(desk, EVENING, members_n=21, night_c=14.0)
    assert look(desk).alarms == ()


def test_roots_freeze_after_the_air_has_been_cold_for_long(desk):
    forecast(desk, EVENING, members_n=21, night_c=-6.0)
    (roots,) = found(desk, Peril.ROOTS)
    (cold,) = found(desk, Peril.COLD)
    assert cold.damage_frac > 0.8  # the warm afternoon still leads on
    assert roots.damage_frac > 0.5
    assert roots.begins > cold.begins


def test_what_bears_frost_is_not_rung_for(desk):
    juniper = Tree(species="juniperus-chinensis", bench="terrace", label="J1")
    append(desk.ledger(), event("j", Sort.TREE, "j-1", juniper, BEGUN))
    forecast(desk, EVENING, members_n=21, night_c=-4.0)
    by_species = {t.species: t for t in found(desk, Peril.COLD)}
    assert by_species["juniperus-chinensis"].warn_frac < 0.1
    assert by_species["ficus-microcarpa"].warn_frac > 0.9


def test_pots_in_a_heat_wave_are_rung_for_by_day(desk):
    hot = rows(EVENING, 96, members_n=21).air_temperature_c + 16
    told(desk, air_temperature_c=hot)
    (tomorrow,) = found(desk, Peril.HEAT, "2026-07-09")
    assert tomorrow.warn_frac > 0.9
    assert 8 <= tomorrow.begins.hour <= 18
    assert tomorrow.figures["high_c"] > 35


def test_a_storm_throws_over_what_stands_high_on_a_narrow_foot(desk):
    tall = Tree(
        species="ficus-microcarpa",
        bench="terrace",
        label="Tall",
        height_cm=90,
        spread_cm=80,
    )
    append(desk.ledger(), event("tall", Sort.TREE, "tall", tall, BEGUN))
    told(desk, wind_speed_2m_m_s=np.full(96, 5.0))
    storm = found(desk, Peril.WIND)[0]
    assert storm.trees == ("tall",)
    assert storm.warn_frac > 0.5
    assert storm.figures["tips_m_s"] < storm.figures["gust_m_s"]
    calm = replace(desk, clock=lambda: EVENING + timedelta(minutes=1))
    told(calm, wind_speed_2m_m_s=np.full(96, 2.0))


def test_a_cloudburst_is_told_of_open_benches_alone(tmp_path):
    desk = desk_with(tmp_path, now=EVENING, benches=("terrace", "sill"))
    observe(desk, until_at=EVENING)
    rain = np.where(np.arange(96) == 5, 30.0, 0.0)
    told(desk, rain_mm=rain)
    (burst, *_) = found(desk, Peril.RAIN, "2026-07-08")
    assert burst.bench == "terrace"
    assert burst.damage_frac > 0.4
    assert {t.bench for t in found(desk, Peril.RAIN)} == {"terrace"}


def test_a_house_of_which_nothing_was_said_is_no_ground_for_an_alarm(tmp_path):
    desk = desk_with(tmp_path, now=EVENING, benches=("sill",))
    observe(desk, until_at=EVENING)
    house = Bench(yard="stair", name="House", exposure=Exposure.GLASSHOUSE)
    tree = Tree(species="ficus-microcarpa", bench="house")
    events = [
        event("h", Sort.BENCH, "house", house, BEGUN),
        event("f", Sort.TREE, "f-1", tree, BEGUN),
    ]
    append(desk.ledger(), *events)
    forecast(desk, EVENING, members_n=21, night_c=-8.0)
    assert found(desk, Peril.COLD) == []
    said = replace(house, ventilation="closed", cover="horticultural")
    append(desk.ledger(), event("h2", Sort.BENCH, "house", said, EVENING))
    (cold,) = found(desk, Peril.COLD)
    assert cold.bench == "house"


def test_without_a_fresh_forecast_the_night_is_unknown_and_no_cold_is_made_up(desk):
    (blind,) = found(desk, Peril.BLIND)
    assert found(desk, Peril.COLD) == []
    assert blind.when == "2026-07-08"
    assert blind.figures["usual_frac"] == blind.warn_frac < 0.1  # a night in July


def test_a_forecast_of_yesterday_is_none(desk):
    issued = EVENING - timedelta(hours=25)
    forecast(desk, issued, hours_n=120, members_n=21, night_c=2.0)
    assert len(found(desk, Peril.BLIND)) == 1


def test_whoever_spoke_every_hour_is_missed(desk):
    at = EVENING - timedelta(hours=30)
    hourly = [
        event(
            f"m{n}",
            Sort.BENCH,
            "terrace",
            Measured(reading=Reading(quantity="soil_c", value=17.0)),
            at + timedelta(hours=n),
        )
        for n in range(24)
    ]
    line = WaterSource(name="line", way="drip line", reaches=("terrace",))
    daily = [
        event(
            f"w{n}",
            Sort.SOURCE,
            "line",
            Watered(),
            EVENING - timedelta(days=5 + n),
        )
        for n in range(6)
    ]
    append(desk.ledger(), event("l", Sort.SOURCE, "line", line, BEGUN), *hourly, *daily)
    yarded = yarded_at(desk, None, EVENING)
    silent = {t.figures["subject"]: t for t in silences(desk, yarded, EVENING)}
    assert silent.keys() == {"terrace", "line"}
    assert silent["terrace"].figures["silent_h"] == pytest.approx(7)
    assert silent["line"].figures["silent_h"] == pytest.approx(5 * 24)


def test_a_thermometer_read_by_hand_is_no_voice(desk):
    typed = [
        event(
            f"n{n}",
            Sort.YARD,
            "stair",
            Measured(reading=Reading(quantity="night_min_c", value=12.0)),
            EVENING - timedelta(hours=60 + n),
        )
        for n in range(10)
    ]
    append(desk.ledger(), *typed)
    assert [*silences(desk, yarded_at(desk, None, EVENING), EVENING)] == []


def test_hours_ahead_are_those_of_the_forecast(desk):
    forecast(desk, EVENING, members_n=21, night_c=9.0)
    (cold,) = found(desk, Peril.COLD)
    hours = [hour.timestamp() for hour, _ in cold.by_hour]
    assert np.diff(hours).tolist() == [HOUR_S] * (len(hours) - 1)
    assert hours[0] <= EVENING.timestamp() < hours[0] + HOUR_S
