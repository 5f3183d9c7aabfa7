"""One contract for all sources: what each tells, and how it fails."""

import json
import math
import socket
from contextlib import suppress
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from arbuscula.kinds.forecast import WeatherSort
from arbuscula.kinds.said import ArbusculaError
from arbuscula.weather.archive import (
    archive_at,
    askings,
    batches,
    last_asked,
    rows_of,
    verify_archive,
)
from arbuscula.weather.listen import listen
from arbuscula.weather.packed import QUANTITIES, quantity
from arbuscula.weather.plausible import RANGES
from tests.services import ASK, HOUR_S, NOW_S, SOURCES, host, http_date

JSON = sorted(SOURCES.keys() - {"page"})
TOLD_SUN = ["forecast", "members", "archive", "power"]


@pytest.fixture
def served():
    with host() as there:
        yield there


@pytest.fixture
def archive(tmp_path):
    return archive_at(tmp_path / "weather.db")


def source_and_reply(name, served):
    make, reply = SOURCES[name]
    return make(served.url), reply()


def faults_of(archive, source, ask=ASK):
    with pytest.raises(ArbusculaError) as refused:
        listen(archive, source, ask, at_once=True)
    return [fault.message_id for fault in refused.value.faults]


def nothing_is_stored(archive):
    return batches(archive, ASK.yard) == ()


def cells_of(reply, quantity):
    """Return the lists or mappings of a reply in which a quantity stands."""
    names = {
        "air": ("temperature_2m", "T2M"),
        "humidity": ("relative_humidity_2m", "RH2M"),
        "sun": ("shortwave_radiation", "ALLSKY_SFC_SW_DWN"),
    }[quantity]
    if "hourly" in reply:
        keys = [key for key in reply["hourly"] if key.startswith(names)]
        return [reply["hourly"][key] for key in keys]
    return [reply["properties"]["parameter"][names[1]]]


def changed(reply, quantity, change):
    """Change every cell of a quantity, by its place and its value."""
    if "timeseries" in reply.get("properties", {}):
        name = {"air": "air_temperature", "humidity": "relative_humidity"}[quantity]
        points = reply["properties"]["timeseries"]
        for k, point in enumerate(points):
            details = point["data"]["instant"]["details"]
            details[name] = change(k, details[name])
        return
    for cells in cells_of(reply, quantity):
        keys = [*cells] if isinstance(cells, dict) else range(len(cells))
        for k, key in enumerate(keys):
            cells[key] = change(k, cells[key])


@pytest.mark.parametrize("name", SOURCES)
def test_what_is_told_is_stored_in_our_units(name, served, archive):
    source, reply = source_and_reply(name, served)
    served.says(reply)
    (told,) = listen(archive, source, ASK).batches
    (kept,) = batches(archive, ASK.yard)
    rows = rows_of(archive, kept.position_n)
    assert (kept.yard, kept.source) == (ASK.yard, source.key)
    assert (kept.read_s, kept.attribution) == (NOW_S, source.attribution)
    assert kept.rows_n == rows.from_s.size > 24
    assert (np.diff(rows.from_s) == HOUR_S).all()
    for quantity_name in QUANTITIES:
        cells = quantity(rows, quantity_name)
        low, high = RANGES[quantity_name]
        assert np.isfinite(cells).mean() >= 0.5
        assert ((cells >= low) & (cells <= high))[np.isfinite(cells)].all()
    # 27.0 is the invented warmth at 14:00 UTC, told to a tenth.
    assert 26 < np.nanmax(rows.air_temperature_c) < 28
    assert 0.4 < np.nanmin(rows.relative_humidity_frac) < 0.5
    assert told.sort is kept.sort


@pytest.mark.parametrize("name", SOURCES)
def test_the_past_is_observed_and_the_rest_is_forecast(name, served, archive):
    source, reply = source_and_reply(name, served)
    served.says(reply)
    (batch,) = listen(archive, source, ASK).batches
    is_past = name in ("archive", "power", "page")
    assert batch.sort is (WeatherSort.OBSERVED if is_past else WeatherSort.FORECAST)
    assert (batch.rows.until_s[-1] <= NOW_S) == is_past


@pytest.mark.parametrize("name", SOURCES)
def test_the_same_again_is_not_stored_again(name, served, archive):
    source, reply = source_and_reply(name, served)
    served.says(reply)
    listen(archive, source, ASK)
    later = replace(ASK, now_s=NOW_S + 600)
    assert listen(archive, source, later, at_once=True).batches == ()
    assert len(batches(archive, ASK.yard)) == 1


@pytest.mark.parametrize("name", SOURCES)
def test_every_source_says_its_terms_and_whom_to_thank(name):
    make, _ = SOURCES[name]
    source = make("http://127.0.0.1:9")
    assert source.terms.message_id.startswith("weather.terms_")
    assert bool(source.attribution) == (name != "page")


REFUSALS = {
    400: "weather.rejected",
    401: "weather.forbidden",
    403: "weather.forbidden",
    404: "weather.not_there",
    429: "weather.busy",
    500: "weather.failing",
    503: "weather.failing",
}


@pytest.mark.parametrize("status", REFUSALS)
@pytest.mark.parametrize("name", SOURCES)
def test_a_refusal_is_told_and_noted(name, status, served, archive):
    source, _ = source_and_reply(name, served)
    served.says({"error": True, "reason": "not today"}, status)
    with pytest.raises(ArbusculaError) as refused:
        listen(archive, source, ASK)
    (fault,) = refused.value.faults
    assert fault.message_id == REFUSALS[status]
    assert fault.figures["found"] == "not today"
    assert nothing_is_stored(archive)
    asked = last_asked(archive, ASK.yard, source.key)
    assert (asked.outcome, asked.because) == ("failed", REFUSALS[status])


@pytest.mark.parametrize("name", SOURCES)
def test_a_busy_host_is_left_alone_as_long_as_it_wants(name, served, archive):
    source, reply = source_and_reply(name, served)
    served.says("", 429, Retry_After="1800")
    assert faults_of(archive, source) == ["weather.busy"]
    served.says(reply)
    soon = listen(archive, source, replace(ASK, now_s=NOW_S + 1799))
    assert [note.message_id for note in soon.notes] == ["weather.still_holds"]
    assert len(served.asked) == 1
    assert listen(archive, source, replace(ASK, now_s=NOW_S + 1801)).batches


@pytest.mark.parametrize("name", SOURCES)
def test_a_cut_connection_stores_nothing(name, served, archive):
    source, reply = source_and_reply(name, served)
    served.says(reply, Connection="close")
    whole = served.body

    def cuts(handler):
        handler.send_response_only(200)
        handler.send_header("Content-Length", str(len(whole)))
        handler.end_headers()
        handler.wfile.write(whole[: len(whole) // 2])
        handler.close_connection = True
        return True

    served.behaves = cuts
    assert faults_of(archive, source) == ["weather.cut"]
    assert nothing_is_stored(archive)


@pytest.mark.parametrize("name", SOURCES)
def test_a_body_of_hundreds_of_megabytes_is_given_up_while_it_comes(
    name, served, archive
):
    source, _ = source_and_reply(name, served)
    sent_mb = []

    def pours(handler):
        handler.send_response_only(200)
        handler.end_headers()  # no length is told, as for a stream
        try:
            for _ in range(300):
                handler.wfile.write(b" " * 1_000_000)
                sent_mb.append(1)
        except OSError:
            pass
        handler.close_connection = True
        return True

    served.behaves = pours
    assert faults_of(archive, source) == ["weather.too_large"]
    # 20 MB are let in; what is on its way in buffers is a few more.
    assert 20 <= sum(sent_mb) < 60


@pytest.mark.parametrize("name", SOURCES)
def test_nobody_there_is_one_clear_fault(name, archive):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))  # bound, but nobody listens
        make, _ = SOURCES[name]
        source = make(f"http://127.0.0.1:{taken.getsockname()[1]}")
        assert faults_of(archive, source) == ["weather.unreachable"]


@pytest.mark.parametrize(
    "to", ["file:///etc/hostname", "ftp://127.0.0.1/x", "https://a/"]
)
@pytest.mark.parametrize("name", SOURCES)
def test_no_other_scheme_is_followed(name, to, served, archive):
    source, _ = source_and_reply(name, served)
    served.says("", 302, Location=to)
    assert faults_of(archive, source) == ["weather.scheme"]


@pytest.mark.parametrize("name", JSON)
@pytest.mark.parametrize(
    "body", [b"<html>", b"", b"[[[", b"\xff\xfe", b"[" * 100_000, b"{}", b"[]", b"3"]
)
def test_what_is_no_reply_is_refused(name, body, served, archive):
    source, _ = source_and_reply(name, served)
    served.says(body)
    (fault,) = faults_of(archive, source)
    assert fault in ("weather.not_json", "weather.not_in_reply", "weather.uneven")


def paths_of(whole, path=()):
    """Yield the way to every part of a reply; of a long list, to its first parts."""
    yield path
    parts = whole.items() if isinstance(whole, dict) else enumerate(whole[:3])
    for key, part in parts:
        if isinstance(part, dict | list):
            yield from paths_of(part, (*path, key))
        else:
            yield (*path, key)


PATHS = {name: [*paths_of(SOURCES[name][1]())][1:] for name in JSON}
ODD = [None, [], {}, "", "x", -1, 1e308, True, [None], {"a": 1}, "2026-13-45"]


@settings(
    max_examples=30,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    deadline=None,
)
@given(data=st.data())
@pytest.mark.parametrize("name", JSON)
def test_any_odd_part_is_told_or_refused_never_a_crash(name, data, served, archive):
    source, reply = source_and_reply(name, served)
    *above, last = data.draw(st.sampled_from(PATHS[name]))
    part = reply
    for key in above:
        part = part[key]
    part[last] = data.draw(st.sampled_from(ODD))
    served.says(reply)
    with suppress(ArbusculaError):
        listen(archive, source, ASK, at_once=True)
    assert verify_archive(archive) == ()


@pytest.mark.parametrize("name", JSON)
def test_a_bare_nan_is_a_gap(name, served, archive):
    source, reply = source_and_reply(name, served)
    changed(reply, "air", lambda k, c: "NOTHING" if 30 <= k < 33 else c)
    served.says(json.dumps(reply).replace('"NOTHING"', "nan"))
    (batch,) = listen(archive, source, ASK).batches
    missing = np.isnan(batch.rows.air_temperature_c)
    # Three points touch four hours, unless an hour is told by itself or left out.
    hours_n = {"power": 3, "archive": 0}.get(name, 4)
    assert missing.sum() == hours_n * math.prod(missing.shape[:-1])


@pytest.mark.parametrize("days", [-9, 9])
@pytest.mark.parametrize("name", ["forecast", "members", "met"])
def test_a_forecast_of_another_day_gives_a_wrong_clock_away(
    name, days, served, archive
):
    source, reply = source_and_reply(name, served)
    served.says(reply)
    wrong = replace(ASK, now_s=NOW_S + days * 86_400)
    assert faults_of(archive, source, wrong) == ["weather.clock"]
    assert nothing_is_stored(archive)


@pytest.mark.parametrize("name", ["power", "page"])
def test_nothing_is_observed_before_it_happens(name, served, archive):
    source, reply = source_and_reply(name, served)
    served.says(reply)
    early = replace(ASK, now_s=ASK.from_s, until_s=ASK.from_s)
    assert faults_of(archive, source, early) == ["weather.observed_ahead"]
    assert nothing_is_stored(archive)


@pytest.mark.parametrize("name", JSON)
def test_kelvin_that_calls_itself_celsius_is_refused(name, served, archive):
    source, reply = source_and_reply(name, served)
    changed(reply, "air", lambda _, c: c + 273.15)
    served.says(reply)
    assert faults_of(archive, source) == ["weather.outside"]
    assert nothing_is_stored(archive)


@pytest.mark.parametrize("name", JSON)
def test_humidity_above_one_is_refused_and_a_single_one_left_out(name, served, archive):
    source, reply = source_and_reply(name, served)
    changed(reply, "humidity", lambda _, c: c + 60)
    served.says(reply)
    assert faults_of(archive, source) == ["weather.outside"]
    source, reply = source_and_reply(name, served)
    changed(reply, "humidity", lambda k, c: 300 if k == 20 else c)
    served.says(reply)
    heard = listen(archive, source, ASK, at_once=True)
    assert [note.message_id for note in heard.notes] == ["weather.left_out"]
    (kept,) = batches(archive, ASK.yard)
    told = rows_of(archive, kept.position_n).relative_humidity_frac
    assert np.nanmax(told) <= 1


@pytest.mark.parametrize("name", TOLD_SUN)
def test_sun_at_night_is_refused_and_a_single_one_left_out(name, served, archive):
    source, reply = source_and_reply(name, served)
    for cells in cells_of(reply, "sun"):
        keys = [*cells] if isinstance(cells, dict) else [*range(len(cells))]
        told = [cells[key] for key in keys]
        for key, cell in zip(keys, told[12:] + told[:12], strict=True):
            cells[key] = cell
    served.says(reply)
    assert "weather.sun_at_night" in faults_of(archive, source)
    assert nothing_is_stored(archive)
    source, reply = source_and_reply(name, served)
    changed(reply, "sun", lambda k, c: 400 if k == 24 else c)  # told at midnight
    served.says(reply)
    heard = listen(archive, source, ASK, at_once=True)
    assert [note.message_id for note in heard.notes] == ["weather.left_out"]


@pytest.mark.parametrize("name", TOLD_SUN)
def test_megajoules_that_call_themselves_watts_are_refused(name, served, archive):
    source, reply = source_and_reply(name, served)
    changed(reply, "sun", lambda _, c: c if c < 0 else c * 0.0036)
    served.says(reply)
    assert faults_of(archive, source) == ["weather.too_dark"]


@pytest.mark.parametrize("name", JSON)
def test_another_place_is_refused(name, served, archive):
    source, reply = source_and_reply(name, served)
    if "hourly" in reply:
        reply["latitude"], reply["longitude"] = reply["longitude"], reply["latitude"]
    else:
        reply["geometry"]["coordinates"] = [45.7, 13.8, 120]
    served.says(reply)
    assert faults_of(archive, source) == ["weather.elsewhere"]


@pytest.mark.parametrize("name", JSON)
def test_a_unit_we_do_not_know_is_refused(name, served, archive):
    source, _ = source_and_reply(name, served)
    _, reply = source_and_reply(name, served)
    units = reply.get("hourly_units") or reply.get("parameters")
    if units is None:
        reply["properties"]["meta"]["units"]["wind_speed"] = "furlong/fortnight"
    for key in units or ():
        if key.startswith("wind_speed"):
            units[key] = "furlong/fortnight"
    if name == "power":
        units["WS2M"]["units"] = "furlong/fortnight"
    served.says(reply)
    assert faults_of(archive, source) == ["weather.unit_unknown"]


@pytest.mark.parametrize("name", JSON)
def test_a_quantity_that_is_not_told_leaves_the_others(name, served, archive):
    source, reply = source_and_reply(name, served)
    if "hourly" in reply:
        for key in [k for k in reply["hourly"] if k.startswith("relative")]:
            del reply["hourly"][key]
    elif name == "power":
        del reply["properties"]["parameter"]["RH2M"]
    else:
        for point in reply["properties"]["timeseries"]:
            del point["data"]["instant"]["details"]["relative_humidity"]
    served.says(reply)
    (batch,) = listen(archive, source, ASK).batches
    assert np.isnan(batch.rows.relative_humidity_frac).all()
    assert np.isfinite(batch.rows.air_temperature_c).any()


@pytest.mark.parametrize("name", SOURCES)
def test_every_asking_is_written_down(name, served, archive):
    source, reply = source_and_reply(name, served)
    served.says("", 503)
    faults_of(archive, source)
    served.says(reply)
    listen(archive, source, ASK, at_once=True)
    assert [a.outcome for a in askings(archive, ASK.yard)] == ["failed", "told"]


def test_a_page_that_holds_is_not_asked_for_again(served, archive):
    source, reply = source_and_reply("met", served)
    expires = http_date(NOW_S + 1800)
    served.says(reply, Date=http_date(NOW_S), Expires=expires)
    listen(archive, source, ASK)
    soon = replace(ASK, now_s=NOW_S + 1700)
    assert listen(archive, source, soon).batches == ()
    assert len(served.asked) == 1
