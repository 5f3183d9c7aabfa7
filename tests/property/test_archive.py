"""Archive: nothing told is lost, and an answer can be had again at any time."""

from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arbuscula.kinds.forecast import WeatherSort
from arbuscula.weather.archive import (
    add_batch,
    archive_at,
    batches,
    position,
    rows_of,
    verify_archive,
)
from arbuscula.weather.compose import yard_weather
from arbuscula.weather.packed import QUANTITIES, TIMES, as_stored, quantity
from tests.weathers import AT_S, HOUR_S, YARD, always, forecast, hours, observed

SPAN_H = 40
TENTHS = st.integers(-100, 350).map(lambda n: n / 10)


@st.composite
def told(draw, read_h):
    """Return what some source tells at an hour."""
    hours_n = draw(st.integers(1, 12))
    cells = st.lists(TENTHS | st.just(np.nan), min_size=hours_n, max_size=hours_n)
    air_c = np.array(draw(cells))
    source = draw(st.sampled_from(["station", "nasa-power", "met-norway"]))
    if source == "met-norway":
        rows = hours(draw(st.integers(0, SPAN_H)), hours_n, air_c=air_c)
        return forecast(rows, draw(st.integers(0, read_h)), read_s=at_s(read_h))
    rows = hours(draw(st.integers(0, max(read_h - hours_n, 0))), hours_n, air_c=air_c)
    return observed(rows, max(read_h, hours_n), source)


@st.composite
def lives(draw):
    """Return batches in the order in which they are read."""
    return [draw(told(read_h)) for read_h in sorted(draw(READ_H))]


READ_H = st.lists(st.integers(12, SPAN_H), min_size=1, max_size=7, unique=True)


def at_s(hour):
    return AT_S + hour * HOUR_S


def weather(archive, as_of_s, **how):
    return yard_weather(
        archive,
        YARD,
        at_s(0),
        at_s(SPAN_H),
        as_of_s=as_of_s,
        fill=always(),
        members_n=5,
        **how,
    )


def same(some, other):
    return (some.digest, some.stretches, some.used) == (
        other.digest,
        other.stretches,
        other.used,
    ) and all(
        np.array_equal(quantity(some.rows, name), quantity(other.rows, name))
        for name in (*TIMES, *QUANTITIES)
    )


@pytest.mark.slow
@settings(max_examples=40, deadline=None)
@given(lives())
def test_an_answer_can_be_had_again_whatever_was_told_since(batches_told):
    with TemporaryDirectory() as folder:
        archive = archive_at(Path(folder) / "weather.db")
        answers = []
        for batch in batches_told:
            add_batch(archive, batch)
            found = weather(archive, batch.read_s)
            answers.append((batch.read_s, position(archive), found))
        for read_s, upto_n, found in answers:
            assert same(weather(archive, read_s), found)
            assert same(weather(archive, read_s, upto_n=upto_n), found)
        assert verify_archive(archive) == ()


@settings(max_examples=40, deadline=None)
@given(lives())
def test_nothing_that_was_told_is_lost(batches_told):
    with TemporaryDirectory() as folder:
        archive = archive_at(Path(folder) / "weather.db")
        for batch in batches_told:
            add_batch(archive, batch)
        kept = [
            (k.source, k.sort, rows_of(archive, k.position_n))
            for k in batches(archive, YARD)
        ]
        stored = {
            (source, sort, *row)
            for source, sort, rows in kept
            for row in bytes_of(rows)
        }
        for batch in batches_told:
            for row in bytes_of(as_stored(batch.rows)):
                assert (batch.source, batch.sort, *row) in stored


def bytes_of(rows):
    columns = [quantity(rows, name) for name in (*TIMES, *QUANTITIES)]
    return [tuple(cell.tobytes() for cell in row) for row in zip(*columns, strict=True)]


@settings(max_examples=40, deadline=None)
@given(lives())
def test_there_is_always_weather_and_the_observed_is_not_touched(batches_told):
    with TemporaryDirectory() as folder:
        archive = archive_at(Path(folder) / "weather.db")
        for batch in batches_told:
            add_batch(archive, batch)
        found = weather(archive, at_s(SPAN_H), preferred=("station",))
        assert (found.rows.from_s == at_s(np.arange(SPAN_H))).all()
        for name in QUANTITIES:
            assert np.isfinite(quantity(found.rows, name)).all()
        covered = sum(
            (s.until_s - s.from_s) * len(s.quantities) for s in found.stretches
        )
        assert covered == SPAN_H * HOUR_S * len(QUANTITIES)
        last = {}
        for batch in batches_told:
            if batch.source == "station" and batch.sort is WeatherSort.OBSERVED:
                pairs = zip(
                    batch.rows.from_s, batch.rows.air_temperature_c, strict=True
                )
                last |= {s: c for s, c in pairs if np.isfinite(c)}
        for from_s, air_c in last.items():
            if from_s < at_s(SPAN_H):
                hour = int((from_s - AT_S) / HOUR_S)
                told_c = found.rows.air_temperature_c[:, hour]
                assert (told_c == np.float32(air_c)).all()
