from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from arbuscula.kinds.forecast import WeatherSort
from arbuscula.kinds.said import ArbusculaError
from arbuscula.kinds.weather import Spot
from arbuscula.weather.archive import add_batch, archive_at
from arbuscula.weather.compose import forecast_figures, yard_weather
from arbuscula.weather.packed import QUANTITIES, quantity
from arbuscula.weather.usual import usual_weather
from arbuscula.weather.world import read_world
from tests.weathers import AT_S, HOUR_S, YARD, always, forecast, hours, observed

MEMBERS_N = 50


@pytest.fixture
def archive(tmp_path):
    return archive_at(tmp_path / "weather.db")


def told(archive, *batches):
    for batch in batches:
        add_batch(archive, batch)


def weather(archive, from_h, until_h, as_of_h, **how):
    how = {"fill": always(), "members_n": MEMBERS_N} | how
    span_s = (AT_S + from_h * HOUR_S, AT_S + until_h * HOUR_S)
    return yard_weather(archive, YARD, *span_s, as_of_s=AT_S + as_of_h * HOUR_S, **how)


def stretches(weather):
    return [
        ((s.from_s - AT_S) / HOUR_S, (s.until_s - AT_S) / HOUR_S, s.source)
        for s in weather.stretches
    ]


def test_without_anything_told_it_is_the_usual_weather(archive):
    found = weather(archive, 0, 24, as_of_h=0)
    assert found.rows.air_temperature_c.shape == (MEMBERS_N, 24)
    assert (found.rows.air_temperature_c == 5.0).all()
    (stretch,) = found.stretches
    assert (stretch.source, stretch.sort) == ("normals", WeatherSort.NORMALS)
    assert (stretch.age_h, stretch.members_n) == (None, 0)
    assert stretch.quantities == QUANTITIES
    assert (found.used, found.attributions) == ((), {})


def test_observed_then_members_then_the_usual(archive):
    members = 20 + np.arange(31)[:, None] * 0.1 + np.zeros(48)
    told(
        archive,
        observed(hours(0, 12), read_h=12),
        forecast(hours(6, 48, air_c=members), issued_h=6, source="open-meteo-members"),
    )
    found = weather(archive, 0, 72, as_of_h=12)
    assert stretches(found) == [
        (0, 12, "station"),
        (12, 54, "open-meteo-members"),
        (54, 72, "normals"),
    ]
    assert [s.age_h for s in found.stretches] == [0, 6, None]
    assert [s.members_n for s in found.stretches] == [1, 31, 0]
    assert found.used == (1, 2)
    assert found.attributions["station"] == "thanks to station"
    air_c = found.rows.air_temperature_c
    assert (air_c[:, :12] == 20.0).all()  # observed is the same for all
    # Members told 20.0 to 23.0; the yard may be 1.3 K off on top of that.
    assert 21 < air_c[:, 40].mean() < 22
    assert 1 < air_c[:, 40].std() < 2.2


def test_rows_leave_no_gap_and_no_overlap(archive):
    told(archive, observed(hours(0, 12, step_h=1 / 6), read_h=2))
    found = weather(archive, 0.5, 30.25, as_of_h=2).rows
    assert found.from_s[0] == AT_S + 0.5 * HOUR_S
    assert found.until_s[-1] == AT_S + 30.25 * HOUR_S
    assert (found.from_s[1:] == found.until_s[:-1]).all()
    for name in QUANTITIES:
        assert np.isfinite(quantity(found, name)).all()


def test_ten_minutes_become_the_hours_mean_and_its_rain(archive):
    air_c, rain_mm = np.repeat([10.0, 16.0], 3), np.full(6, 0.5)
    rows = hours(0, 6, step_h=1 / 6, air_c=air_c, rain_mm=rain_mm)
    told(archive, observed(rows, read_h=1))
    found = weather(archive, 0, 1, as_of_h=1).rows
    assert found.air_temperature_c[:, 0] == pytest.approx(13.0)
    assert found.rain_mm[:, 0] == pytest.approx(3.0)


def test_half_an_hour_told_stands_for_the_hour_and_less_does_not(archive):
    told(archive, observed(hours(0, 3, step_h=1 / 6, rain_mm=0.5), read_h=1))
    told(archive, observed(hours(2, 2, step_h=1 / 6), read_h=3))
    found = weather(archive, 0, 3, as_of_h=3)
    assert stretches(found) == [(0, 1, "station"), (1, 3, "normals")]
    assert found.rows.rain_mm[0, 0] == pytest.approx(3.0)


def test_pieces_of_an_hour_told_one_by_one_make_it_whole(archive):
    for n in range(6):
        told(archive, observed(hours(n / 6, 1, step_h=1 / 6, air_c=n), read_h=1))
    found = weather(archive, 0, 1, as_of_h=1)
    assert stretches(found) == [(0, 1, "station")]
    assert found.rows.air_temperature_c[0, 0] == pytest.approx(2.5)


def test_the_latest_reading_wins_and_the_earlier_one_is_had_again(archive):
    told(archive, observed(hours(0, 6, air_c=20.0), read_h=6))
    told(archive, observed(hours(2, 2, air_c=18.0), read_h=9))
    late = weather(archive, 0, 6, as_of_h=9).rows.air_temperature_c[0]
    early = weather(archive, 0, 6, as_of_h=8).rows.air_temperature_c[0]
    assert late.tolist() == [20, 20, 18, 18, 20, 20]
    assert (early == 20).all()


def test_of_two_services_the_later_word_holds_and_ones_own_before_any(archive):
    told(
        archive,
        observed(hours(0, 6, air_c=20.0), read_h=6),
        observed(hours(0, 6, air_c=15.0), read_h=7, source="nasa-power"),
        observed(hours(0, 3, air_c=16.0), read_h=8, source="open-meteo-archive"),
    )
    assert (weather(archive, 0, 6, as_of_h=9).rows.air_temperature_c == 20).all()
    found = weather(archive, 0, 6, as_of_h=9, preferred=()).rows.air_temperature_c[0]
    assert found.tolist() == [16, 16, 16, 15, 15, 15]
    trusted = weather(archive, 0, 6, as_of_h=9, preferred=("nasa-power",))
    assert (trusted.rows.air_temperature_c == 15).all()


def test_what_one_does_not_tell_another_does(archive):
    sunless = hours(0, 6, shortwave_w_m2=np.nan)
    told(
        archive,
        observed(sunless, read_h=6),
        observed(hours(0, 4, shortwave_w_m2=300.0), read_h=7, source="nasa-power"),
    )
    found = weather(archive, 0, 6, as_of_h=9)
    assert found.rows.shortwave_w_m2[0].tolist() == [300, 300, 300, 300, 100, 100]
    by_source = [(s.source, len(s.quantities)) for s in found.stretches]
    assert by_source == [("station", 4), ("nasa-power", 1), ("normals", 1)]
    assert found.stretches[1].quantities == ("shortwave_w_m2",)


def test_the_freshest_forecast_is_taken_and_an_older_one_beyond_it(archive):
    told(
        archive,
        forecast(hours(0, 240, air_c=15.0), issued_h=0, source="open-meteo"),
        forecast(hours(6, 60, air_c=25.0), issued_h=6, source="met-norway"),
    )
    found = weather(archive, 8, 100, as_of_h=8)
    assert stretches(found) == [(8, 66, "met-norway"), (66, 100, "open-meteo")]
    trusted = weather(archive, 8, 100, as_of_h=8, preferred=("open-meteo",))
    assert stretches(trusted) == [(8, 100, "open-meteo")]


def test_a_forecast_is_not_seen_before_it_was_issued_and_read(archive):
    told(archive, forecast(hours(0, 99), issued_h=4, read_s=AT_S + 7 * HOUR_S))
    assert stretches(weather(archive, 8, 9, as_of_h=6)) == [(8, 9, "normals")]
    assert stretches(weather(archive, 8, 9, as_of_h=7)) == [(8, 9, "met-norway")]


def test_a_forecast_older_than_a_day_is_let_go(archive):
    told(archive, forecast(hours(0, 99)))
    fresh, stale = (weather(archive, 25, 60, as_of_h=h) for h in (24, 24.5))
    assert stretches(fresh) == [(25, 60, "met-norway")]
    assert stretches(stale) == [(25, 60, "normals")]


def test_a_past_that_nobody_saw_is_as_it_was_forecast(archive):
    told(archive, forecast(hours(0, 99)), forecast(hours(90, 99), issued_h=90))
    found = weather(archive, 0, 92, as_of_h=92)
    assert stretches(found) == [
        (0, 24, "met-norway"),
        (24, 90, "normals"),
        (90, 92, "met-norway"),
    ]


def test_a_forecast_spreads_with_what_lies_ahead(archive):
    told(archive, forecast(hours(0, 240)))
    figures = forecast_figures()
    found = weather(archive, 1, 240, as_of_h=1, members_n=400).rows
    spread_k = found.air_temperature_c.std(axis=0)
    start_k = figures.air_temperature_k.value
    # Half a day more than nothing, and one doubling at four days; 400 members
    # with half of their variance redrawn each day scatter by some per cent.
    assert spread_k[:12].mean() == pytest.approx(start_k * 1.07, rel=0.1)
    assert spread_k[90:102].mean() == pytest.approx(start_k * 2, rel=0.1)
    assert spread_k[-12:].mean() <= start_k * figures.most_ratio.value * 1.1
    assert (found.relative_humidity_frac <= 1).all()
    assert found.air_temperature_c.mean() == pytest.approx(20, abs=0.3)


def test_members_spread_with_the_age_of_their_forecast(archive):
    members = np.full((51, 99), 20.0)
    told(archive, forecast(hours(0, 99, air_c=members)))
    spread_k = [
        weather(archive, 48, 60, as_of_h=h, members_n=400).rows.air_temperature_c.std()
        for h in (0, 24)
    ]
    start_k = forecast_figures().air_temperature_k.value
    # A quarter of the doubling time is a quarter more; chance as above.
    assert spread_k == pytest.approx([start_k, start_k * 1.25], rel=0.1)


def test_the_same_hour_has_the_same_members_whatever_is_asked_with_it(archive):
    told(archive, forecast(hours(0, 99)))
    long = weather(archive, 0, 90, as_of_h=12).rows.air_temperature_c
    short = weather(archive, 60, 66, as_of_h=12).rows.air_temperature_c
    assert short == pytest.approx(long[:, 60:66])


def test_where_a_forecast_takes_over_there_is_no_step(archive):
    told(
        archive,
        observed(hours(0, 12, air_c=12.0), read_h=12),
        forecast(hours(6, 90, air_c=20.0), issued_h=6),
    )
    found = weather(archive, 0, 90, as_of_h=12).rows.air_temperature_c
    # 8 K off at the last known hour fade with 6 hours: by e^(-1/6) each hour.
    assert found[:, 12].mean() == pytest.approx(20 - 8 * np.exp(-1 / 6), abs=0.15)
    assert found[:, 18].mean() == pytest.approx(20 - 8 * np.exp(-7 / 6), abs=0.5)
    # Each member's own error starts small, too.
    assert found[:, 12].std() < 0.3 < found[:, 30].std()


def test_a_forecast_that_begins_later_starts_from_the_last_known(archive):
    told(
        archive,
        observed(hours(0, 12, air_c=12.0), read_h=12),
        forecast(hours(12, 90, air_c=20.0), issued_h=12),
    )
    found = weather(archive, 0, 90, as_of_h=12).rows.air_temperature_c
    assert found[:, 12] == pytest.approx(12.0)


def test_the_usual_weather_leads_each_member_on(archive):
    members = 20 + np.arange(31)[:, None] * 0.3 + np.zeros(24)
    told(archive, forecast(hours(0, 24, air_c=members)))
    found = weather(archive, 0, 48, as_of_h=0).rows.air_temperature_c
    last, first = found[:, 23], found[:, 24]
    assert first == pytest.approx(5 + (last - 5) * np.exp(-1 / 6))
    assert found[:, 47] == pytest.approx(5.0, abs=0.5)


def test_a_hole_in_the_past_meets_both_of_its_edges(archive):
    told(
        archive,
        observed(hours(0, 6, air_c=10.0), read_h=30),
        observed(hours(9, 6, air_c=14.0), read_h=30),
    )
    found = weather(archive, 0, 15, as_of_h=30)
    assert stretches(found) == [
        (0, 6, "station"),
        (6, 9, "normals"),
        (9, 15, "station"),
    ]
    steps_k = np.abs(np.diff(found.rows.air_temperature_c[0]))
    assert steps_k.max() < 2  # 10, then 14: no hour jumps to the usual 5
    assert (found.rows.air_temperature_c[0, 9:] == 14.0).all()


def test_it_leads_on_from_what_was_before_the_asked_time(archive):
    told(
        archive,
        observed(hours(0, 12, air_c=12.0), read_h=12),
        forecast(hours(6, 90, air_c=20.0), issued_h=6),
    )
    whole = weather(archive, 0, 40, as_of_h=12).rows.air_temperature_c
    part = weather(archive, 12, 40, as_of_h=12).rows.air_temperature_c
    assert part == pytest.approx(whole[:, 12:])


def test_the_filler_hears_what_is_known_before(archive):
    heard = []

    def fill(from_s, until_s, last_known, members_n):
        heard.append((from_s, until_s, last_known, members_n))
        return always()(from_s, until_s, last_known, members_n)

    told(archive, observed(hours(0, 12, air_c=12.0), read_h=12))
    weather(archive, 0, 36, as_of_h=12, fill=fill)
    ((from_s, until_s, last_known, members_n),) = heard
    assert (from_s, until_s) == (AT_S + 11 * HOUR_S, AT_S + 36 * HOUR_S)
    assert members_n == MEMBERS_N
    assert last_known.air_temperature_c.shape == (MEMBERS_N, 12)
    assert last_known.until_s[-1] == AT_S + 12 * HOUR_S


def test_humidity_and_wind_stay_within_bounds_where_they_join(archive):
    told(
        archive,
        observed(
            hours(0, 12, relative_humidity_frac=1.0, wind_speed_2m_m_s=0.0), read_h=12
        ),
        forecast(
            hours(6, 90, relative_humidity_frac=0.5, wind_speed_2m_m_s=9.0), issued_h=6
        ),
    )
    found = weather(archive, 0, 90, as_of_h=12).rows
    assert (found.relative_humidity_frac <= 1).all()
    assert (found.wind_speed_2m_m_s >= 0).all()
    assert found.wind_speed_2m_m_s[:, 12].mean() < 3


def test_a_filler_that_leaves_gaps_is_refused(archive):
    def lazy(from_s, until_s, last_known, members_n):
        return hours(0, 3)

    with pytest.raises(ArbusculaError) as refused:
        weather(archive, 0, 24, as_of_h=0, fill=lazy)
    assert refused.value.faults[0].message_id == "weather.unfilled"


def test_the_digest_changes_with_what_it_rests_on(archive):
    told(archive, observed(hours(0, 12), read_h=12))
    before = weather(archive, 0, 12, as_of_h=12)
    assert weather(archive, 0, 12, as_of_h=20).digest == before.digest
    assert weather(archive, 0, 11, as_of_h=12).digest != before.digest
    told(archive, replace(observed(hours(0, 12, air_c=3.0)), yard="elsewhere"))
    assert weather(archive, 0, 12, as_of_h=30).digest == before.digest
    told(archive, observed(hours(0, 1, air_c=3.0), read_h=31))
    assert weather(archive, 0, 12, as_of_h=30).digest == before.digest
    assert weather(archive, 0, 12, as_of_h=31).digest != before.digest
    assert weather(archive, 0, 12, as_of_h=31, upto_n=1).digest == before.digest


def test_a_forecast_ages_and_so_does_the_digest(archive):
    told(archive, forecast(hours(0, 99)))
    early, late = (weather(archive, 12, 24, as_of_h=h) for h in (1, 2))
    assert early.digest != late.digest


@pytest.fixture(scope="module")
def usual():
    folder = Path(str(files("arbuscula"))) / "library" / "world"
    spot = Spot(latitude_deg=45.7, longitude_deg=13.8, elevation_m=120)
    return usual_weather(read_world(folder), spot)


@pytest.mark.parametrize("end_h", [30, 36, 44])
def test_the_worlds_own_usual_weather_leads_each_member_on(archive, usual, end_h):
    hour = np.arange(end_h)
    air_c = 30 + 6 * np.sin((hour - 8) * np.pi / 12)  # hotter than usual
    told(archive, observed(hours(0, end_h, air_c=air_c), read_h=end_h))
    found = weather(archive, 0, end_h + 120, as_of_h=end_h, fill=usual)
    step_k = np.abs(np.diff(found.rows.air_temperature_c, axis=1))
    # The steepest hour of a clear morning climbs by some 4 K, in any member.
    assert step_k[:, end_h - 1].max() < 5
    assert step_k[:, end_h - 1].mean() < step_k[:, end_h:].mean() * 2.5
    assert stretches(found)[1] == (end_h, end_h + 120, "normals")
