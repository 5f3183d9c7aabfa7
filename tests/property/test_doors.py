"""Doors: whatever comes in is read, or refused in words; never another way."""

import json
import tomllib
from itertools import product
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from arbuscula.catalog.case import read_case, read_folder
from arbuscula.catalog.library import read_library
from arbuscula.desk.answers import data
from arbuscula.desk.mix import mix
from arbuscula.desk.pot import pot
from arbuscula.kinds.case import DrydownCase
from arbuscula.kinds.said import ArbusculaError, NotDoneError
from arbuscula.reports.words import Voice, languages, sentence
from arbuscula.start import desk_at
from arbuscula.strict.kinds import kind_from_table, kind_from_toml
from arbuscula.weather.table import COLUMNS, LIGHT, weather_from_table
from tests.substrates import LIBRARY

EXAMPLE = Path(__file__).parents[2] / "examples/bench-fig"
CASE = (EXAMPLE / "case.toml").read_text()
KNOWN = read_library(LIBRARY)
DESK = desk_at(Path("no-such-home"))  # of which these verbs ask only the library

UNHURRIED = settings(deadline=None)  # a disk may be busy with others

TEXTS = st.text(max_size=20)
LEAVES = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.integers(min_value=10**308, max_value=10**320)
    | st.floats()
    | st.datetimes()
    | st.datetimes(timezones=st.timezones())
    | st.dates()
    | st.times()
    | TEXTS
)
TABLES = st.recursive(
    LEAVES,
    lambda parts: (
        st.lists(parts, max_size=3) | st.dictionaries(TEXTS, parts, max_size=3)
    ),
    max_leaves=10,
)


def read_or_refused(read):
    """Return what is read, or nothing if it was refused in words."""
    try:
        return read()
    except NotDoneError:
        raise
    except ArbusculaError as error:
        faults = error.faults
    assert faults
    for fault, language in product(faults, languages()):
        told = sentence(fault, Voice(language))
        assert len(told.splitlines()) == 1
        assert len(told) < 1000
    return None


def read_bytes(text):
    with TemporaryDirectory() as folder:
        path = Path(folder) / "weather.csv"
        path.write_bytes(text)
        return read_or_refused(lambda: weather_from_table(path))


def check_weather(read):
    if read is None:
        return
    rows, notes = read
    for column in rows.__slots__:
        assert np.isfinite(getattr(rows, column)).all()
    assert np.all(np.diff(rows.from_s) > 0)
    assert np.all(rows.until_s > rows.from_s)
    assert all(sentence(note, Voice()) for note in notes)


@UNHURRIED
@given(st.binary(max_size=300))
@example(b"time,a\n\0,\0")
@example(b"\xef\xbb\xbf")
@example(b'time,"a\n' + b"x" * 200_000)
@example(b"," * 1000 + b"\n" + b"," * 1000)
def test_any_bytes_as_a_table(text):
    check_weather(read_bytes(text))


HEADS = ["time", *(column.name for column in (*COLUMNS, *LIGHT))]
CELLS = st.just("0.5") | (
    st.sampled_from(["", "0", "-1", "62", "nan", "1e999", '"', "1,5", "x"])
    | st.floats(-100, 2000).map(str)
    | st.text(max_size=5)
)
HOURS = st.integers(0, 23).map(lambda h: f"2026-06-05T{h:02}:00+02:00")
TIMES = st.datetimes().map(str) | st.datetimes(timezones=st.timezones()).map(
    lambda at: at.isoformat()
)
SOUND = HOURS.map(lambda time: f"{time},20,0.6,1,0,300")
ODD = st.tuples(HOURS | TIMES | CELLS, st.lists(CELLS, min_size=4, max_size=6)).map(
    lambda row: ",".join([row[0], *row[1]])
)


@UNHURRIED
@given(
    st.just(HEADS[:6]) | st.permutations(HEADS),
    st.lists(SOUND, max_size=6, unique=True).map(sorted),
    st.just([]) | st.lists(ODD, max_size=2),
)
def test_almost_a_table(heads, sound, odd):
    text = "\n".join([",".join(heads), *sound, *odd])
    check_weather(read_bytes(text.encode("utf-8", "surrogatepass")))


@UNHURRIED
@given(
    st.lists(
        st.tuples(st.integers(0, 200), st.sampled_from(["", "20", "-5"])), min_size=1
    )
)
def test_a_table_of_any_gaps_is_whole_or_refused(hours):
    told = [
        f"{np.datetime64('2026-06-05T00') + np.timedelta64(h, 'h')}:00Z,{air},0.6,1,,9"
        for h, air in sorted(dict(hours).items())
    ]
    head = "time,air_temperature_c,relative_humidity_frac,wind_speed_2m_m_s,rain_mm"
    check_weather(read_bytes("\n".join([f"{head},shortwave_w_m2", *told]).encode()))


@UNHURRIED
@given(st.dictionaries(TEXTS, TABLES, max_size=4))
def test_any_table_as_a_case(table):
    assert (
        read_or_refused(lambda: kind_from_table(table, DrydownCase, name="t")) is None
    )


def keys_of(table, above=()):
    for key, part in table.items():
        yield (*above, key)
        if isinstance(part, dict):
            yield from keys_of(part, (*above, key))


KEYS = [*keys_of(tomllib.loads(CASE))]
FITTING = st.floats(10, 5000) | st.sampled_from(["box", "round", "mossed", "lava"])


@UNHURRIED
@given(st.dictionaries(st.sampled_from(KEYS), FITTING | TABLES, min_size=1, max_size=3))
def test_almost_a_case(changes):
    table = tomllib.loads(CASE)
    for keys, part in changes.items():
        inner = table
        for key in keys[:-1]:
            inner = inner.get(key) if isinstance(inner, dict) else None
        if isinstance(inner, dict):
            inner[keys[-1]] = part
    case = read_or_refused(lambda: kind_from_table(table, DrydownCase, name="t"))
    if case is not None:
        read_or_refused(lambda: read_folder(EXAMPLE / "case.toml", case, KNOWN))


@UNHURRIED
@given(st.text(max_size=100), st.integers(0, len(CASE)), st.integers(0, 40))
@example("\0", 0, 0)
@example("[" * 3000, 0, 0)
@example("9" * 5000, CASE.index("235"), 3)
def test_a_case_with_any_text_in_the_midst(text, start, length):
    broken = CASE[:start] + text + CASE[start + length :]
    read_or_refused(lambda: kind_from_toml(broken, DrydownCase, name="case.toml"))


@UNHURRIED
@given(st.binary(max_size=100))
def test_any_bytes_as_a_case(text):
    with TemporaryDirectory() as folder:
        path = Path(folder) / "case.toml"
        path.write_bytes(text)
        assert read_or_refused(lambda: read_case(path)) is None


SOUND_POTS = st.tuples(
    st.sampled_from(["box", "Oval", "round"]),
    st.integers(50, 600),
    st.integers(20, 150),
).map(lambda pot: f"{pot[0]} {pot[1]} x {pot[2]} mm")
SOUND_PARTS = st.tuples(st.integers(1, 9), st.sampled_from([*KNOWN.substrates])).map(
    lambda part: f"{part[0]} {part[1]}"
)
NUMBERS = (
    st.integers(0, 10**7).map(str) | st.floats(0, 1e7).map(str) | st.just("9" * 400)
)
SIZES = st.tuples(NUMBERS, st.sampled_from(["", " mm", "cm", " in", " m"])).map("".join)
ODD_POTS = st.text(max_size=30) | st.tuples(
    st.sampled_from(["box", "round", "square"]),
    st.lists(SIZES, max_size=4).map(" x ".join),
).map(" ".join)
ODD_PARTS = st.text(max_size=30) | st.tuples(
    NUMBERS, st.sampled_from([*KNOWN.substrates, "sand"]), st.just("") | SIZES
).map(" ".join)


@UNHURRIED
@given(SOUND_POTS | ODD_POTS, st.floats(0.1, 2) | st.floats())
@example("oval 10 x 5000 x 5000", 0.1)
def test_any_words_as_a_pot(words, taper_frac):
    answer = read_or_refused(lambda: pot(DESK, words, taper_frac=taper_frac))
    if answer is not None:
        json.dumps(data(answer), allow_nan=False)
        assert answer.volume_ml > 0


@UNHURRIED
@given(st.lists(SOUND_PARTS | ODD_PARTS, max_size=3).map(", ".join))
@example("0.000001 pumice, 1000000 akadama")
@example("1e-300 pumice")
@example("3 pumice 50 mm")
@example("3 peat 0.05 mm")
def test_any_words_as_a_mix(words):
    answer = read_or_refused(lambda: mix(DESK, words, "oval 18 cm"))
    if answer is not None:
        json.dumps(data(answer), allow_nan=False)
        held_ml = answer.capacity_ml
        assert 0 <= held_ml.p10 <= held_ml.p50 <= held_ml.p90
        assert 0 <= answer.air_filled_frac.p50 <= 1


@UNHURRIED
@pytest.mark.parametrize("taper_frac", [0.1, 1.0, 2.0])
@given(
    st.sampled_from(["box", "oval", "round"]), st.floats(10, 5000), st.floats(10, 5000)
)
def test_the_science_bears_every_pot_that_the_door_lets_in(
    taper_frac, shape, wide, deep
):
    sizes = [wide, deep] if shape == "round" else [wide, wide, deep]
    words = f"{shape} " + " x ".join(f"{size:.3f}" for size in sizes)
    answer = mix(DESK, "1 pumice, 1 peat", words, taper_frac=taper_frac)
    assert 0 < answer.usable_ml.p50 <= answer.capacity_ml.p50 < answer.volume_ml
