"""A grower's own table of weather."""

import numpy as np
import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.weather.table import weather_from_table

HEADS = "time,air_temperature_c,relative_humidity_frac,wind_speed_2m_m_s,rain_mm"


def hour(n, *, day=5, air="20", humid="0.6", wind="1", rain="0", light="300"):
    time = f"2026-06-{day + n // 24:02}T{n % 24:02}:00Z"
    return f"{time},{air},{humid},{wind},{rain},{light}"


@pytest.fixture
def read(tmp_path):
    """Return a reader of a table that is given line by line."""

    def of(*lines, light="shortwave_w_m2"):
        path = tmp_path / "weather.csv"
        path.write_text("\n".join([f"{HEADS},{light}", *lines]))
        return weather_from_table(path)

    return of


@pytest.fixture
def faults(read):
    def of(*lines):
        with pytest.raises(ArbusculaError) as caught:
            read(*lines)
        told = caught.value.faults
        assert {fault.figures["file"] for fault in told} == {"weather.csv"}
        return told

    return of


def test_a_row_holds_until_the_next_and_the_last_as_long_as_is_usual(read):
    rows, notes = read(*map(hour, range(5)))
    assert np.all(rows.until_s - rows.from_s == 3600)
    assert np.all(rows.until_s[:-1] == rows.from_s[1:])
    assert notes == ()


def test_one_row_alone_holds_for_an_hour(read):
    rows, _ = read(hour(8))
    assert (rows.until_s - rows.from_s).tolist() == [3600]


def test_rows_of_ten_minutes_are_as_good_as_hours(read):
    times = [f"2026-06-05T08:{n}0Z,20,0.6,1,0,300" for n in range(6)]
    rows, notes = read(*times)
    assert np.all(rows.until_s - rows.from_s == 600)
    assert notes == ()


def test_light_at_the_plant_stands_in_for_the_sun(read):
    """PPFD over shortwave of the sun is about 2.0 umol/J (Meek 1984, recalled)."""
    rows, _ = read(hour(8, light="600"), light="ppfd_umol_m2_s")
    assert rows.shortwave_w_m2[0] == pytest.approx(300, rel=0.06)


def test_a_sensor_that_reads_a_little_below_nil_by_night_reads_nil(read):
    rows, _ = read(hour(0, light="-3.5"), hour(1, light="2"))
    assert rows.shortwave_w_m2.tolist() == [0, 2]


def test_no_entry_of_rain_is_no_rain(read):
    rows, notes = read(hour(8, rain=""), hour(9, rain="1.5"))
    assert rows.rain_mm.tolist() == [0, 1.5]
    assert notes == ()


@pytest.mark.parametrize(
    ("cells", "column", "message_id"),
    [
        ({"air": "77"}, "air_temperature_c", "table.fahrenheit"),
        ({"humid": "62"}, "relative_humidity_frac", "table.percent"),
        ({"wind": "-1"}, "wind_speed_2m_m_s", "table.outside"),
        ({"rain": "-0.2"}, "rain_mm", "table.outside"),
        ({"light": "90000"}, "shortwave_w_m2", "table.outside"),
    ],
)
def test_what_no_weather_is(faults, cells, column, message_id):
    (odd,) = faults(hour(8), hour(9, **cells))
    assert (odd.message_id, odd.figures["column"]) == (message_id, column)
    assert odd.figures["row"] == "3"


def test_missing_rows_are_bridged_by_the_one_before_and_said(read):
    rows, notes = read(*(hour(n) for n in (0, 1, 2, 6, 7)))
    (note,) = notes
    assert note.message_id == "table.rows_bridged"
    assert note.figures == {"file": "weather.csv", "row": "4", "missing_h": 3.0}
    assert (rows.until_s - rows.from_s).tolist() == [3600, 3600, 4 * 3600, 3600, 3600]


def test_missing_cells_hold_the_number_before_and_are_said(read):
    air = ["20", "", "", "23", ""]
    rows, notes = read(*(hour(n, air=cell) for n, cell in enumerate(air)))
    assert rows.air_temperature_c.tolist() == [20, 20, 20, 23, 23]
    told = [(n.message_id, n.figures["row"], n.figures["missing_h"]) for n in notes]
    assert told == [("table.bridged", "3", 2.0), ("table.bridged", "6", 1.0)]


def test_a_table_that_begins_with_a_gap_takes_the_next_number(read):
    rows, (note,) = read(hour(0, wind=""), hour(1, wind=""), hour(2, wind="3"))
    assert rows.wind_speed_2m_m_s.tolist() == [3, 3, 3]
    assert (note.figures["row"], note.figures["missing_h"]) == ("2", 2.0)


@pytest.mark.parametrize(("missing_n", "bridged"), [(6, True), (7, False)])
def test_six_hours_are_bridged_and_no_more(read, faults, missing_n, bridged):
    no_rows = [hour(n) for n in (0, 1, 2, missing_n + 3, missing_n + 4)]
    no_cells = [hour(n, air="" if 2 < n < missing_n + 3 else "20") for n in range(24)]
    told = [
        read(*lines)[1] if bridged else faults(*lines) for lines in (no_rows, no_cells)
    ]
    ids = [said.message_id for (said,) in told]
    assert ids == (
        ["table.rows_bridged", "table.bridged"]
        if bridged
        else ["table.rows_gap", "table.gap"]
    )
    assert {said.figures["missing_h"] for (said,) in told} == {missing_n}


def test_rows_are_named_as_a_spreadsheet_counts_them(read):
    _, (note,) = read("", hour(0), "", hour(1), hour(2), hour(5))
    assert note.figures["row"] == "6"


def test_days_are_too_far_apart_and_it_is_said_once(faults):
    (odd,) = faults(*(hour(24 * n) for n in range(9)))
    assert (odd.message_id, odd.figures["step_h"]) == ("table.sparse", 24.0)


def test_columns_without_a_number_are_all_told(faults):
    odd = faults(hour(0, wind="", humid=""), hour(1, wind="", humid=""))
    assert [f.message_id for f in odd] == ["table.empty_column"] * 2
    told = [f.figures["column"] for f in odd]
    assert told == ["relative_humidity_frac", "wind_speed_2m_m_s"]


def test_every_gap_that_is_too_long_is_told_at_once(faults):
    air = dict.fromkeys(range(30, 40), "")
    hours = [n for n in range(60) if not 10 <= n < 20]
    odd = faults(*(hour(n, air=air.get(n, "20")) for n in hours))
    told = [(f.message_id, f.figures["missing_h"]) for f in odd]
    assert told == [("table.rows_gap", 10.0), ("table.gap", 10.0)]
