"""EPW: files of the documented shape, with an invented year."""

import sys
from datetime import UTC, datetime

import numpy as np
import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.kinds.weather import Spot
from arbuscula.reports.words import Voice, sentence
from arbuscula.weather.epw import epw_batch

pytest.importorskip("pvlib")

SPOT = Spot(latitude_deg=45.7, longitude_deg=13.8, elevation_m=120)
NOW_S = datetime(2026, 7, 9, tzinfo=UTC).timestamp()
HEAD = [
    "LOCATION,Stone Stair,-,ITA,invented,000000,45.70,13.80,1.0,120.0",
    "DESIGN CONDITIONS,0",
    "TYPICAL/EXTREME PERIODS,0",
    "GROUND TEMPERATURES,0",
    "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
    "COMMENTS 1,invented",
    "COMMENTS 2,invented",
    "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31",
]
FIRST = datetime(2025, 1, 1, tzinfo=UTC).timestamp()


def line(hour, year):
    at = datetime.fromtimestamp(FIRST + hour * 3600, tz=UTC)
    sun = 500 if 9 <= at.hour < 15 else 0
    cells = [year, at.month, at.day, at.hour + 1, 60, "?9", 10.5, 6.0, 74, 100000]
    cells += [0, 0, 300, sun, 0, 0, 0, 0, 0, 0, 90, 3.0, 5, 5, 20, 2000, 9]
    cells += ["999999999", 15, 0.1, 0, 88, 0.2, 0.5, 1]
    return ",".join(map(str, cells))


def epw(tmp_path, years=(2025,), changed=lambda lines: lines):
    lines = [line(hour, years[hour * len(years) // 8760]) for hour in range(8760)]
    path = tmp_path / "stone-stair.epw"
    path.write_text("\n".join([*HEAD, *changed(lines)]) + "\n")
    return path


def read(path, **how):
    return epw_batch(path, yard="stone-stair", spot=SPOT, now_s=NOW_S, **how)


def faults_of(path, **how):
    with pytest.raises(ArbusculaError) as refused:
        read(path, **how)
    return [fault.message_id for fault in refused.value.faults]


def test_a_year_is_read_in_our_units(tmp_path):
    batch, notes = read(epw(tmp_path))
    rows = batch.rows
    assert (batch.source, rows.from_s.size, notes) == ("epw", 8760, ())
    assert rows.from_s[0] == FIRST - 3600  # midnight of the file's own zone
    assert (np.diff(rows.from_s) == 3600).all()
    assert rows.air_temperature_c[0] == 10.5
    assert rows.relative_humidity_frac[0] == pytest.approx(0.74)
    # FAO-56 eq. 47: 0.748 of the wind at 10 m is felt at 2 m, printed to 0.001.
    assert rows.wind_speed_2m_m_s[0] == pytest.approx(3 * 0.748, abs=0.0015)
    assert rows.rain_mm[0] == pytest.approx(0.5)
    assert rows.shortwave_w_m2[9] == 500


def test_a_typical_year_was_never_seen_unless_a_year_is_named(tmp_path):
    path = epw(tmp_path, years=(2009, 2014))
    assert faults_of(path) == ["weather.epw_typical"]
    batch, _ = read(path, year=2025)
    assert batch.rows.from_s.size == 8760


def test_what_is_missing_is_a_gap(tmp_path):
    def without(lines):
        cells = lines[5].split(",")
        cells[6], cells[13] = "99.9", "9999"
        return [*lines[:5], ",".join(cells), *lines[6:]]

    batch, _ = read(epw(tmp_path, changed=without))
    assert np.isnan(batch.rows.air_temperature_c).sum() == 1
    assert np.isnan(batch.rows.shortwave_w_m2).sum() == 1


@pytest.mark.parametrize(
    "changed",
    [lambda lines: [], lambda lines: lines[:100], lambda lines: ["x"] * 9],
    ids=["nothing", "cut", "garbled"],
)
def test_what_is_no_epw_is_told(tmp_path, changed):
    assert faults_of(epw(tmp_path, changed=changed)) == ["weather.epw_unreadable"]


def test_a_file_in_latin_1_is_read(tmp_path):
    path = epw(tmp_path)
    path.write_bytes(path.read_bytes().replace(b"Stone Stair", b"Scal\xe0"))
    assert read(path)[0].rows.from_s.size == 8760


def test_without_pvlib_it_says_how_to_get_it(tmp_path, monkeypatch):
    path = tmp_path / "year.epw"
    path.write_text("LOCATION,Nowhere\n")
    monkeypatch.setitem(sys.modules, "pvlib.iotools", None)  # as if not installed
    with pytest.raises(ArbusculaError) as refused:
        epw_batch(path, yard="y", spot=SPOT, now_s=NOW_S, year=2025)
    (fault,) = refused.value.faults
    assert fault.message_id == "weather.epw_needs_pvlib"
    assert "arbuscula[weather-files]" in sentence(fault, Voice())
