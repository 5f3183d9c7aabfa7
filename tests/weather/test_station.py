from datetime import UTC, datetime

import numpy as np
import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.weather.packed import QUANTITIES, quantity
from arbuscula.weather.station import station_batch, station_map, station_rows
from tests.services import NOW_S, SPOT

PLAIN = ["Temp=air_temperature_c:degC"]


def faults_of(do, *what, **how):
    with pytest.raises(ArbusculaError) as refused:
        do(*what, **how)
    return refused.value.faults


def ids_of(said):
    return [fault.message_id for fault in said]


def rows_of(text, entries=PLAIN, **how):
    how = station_map(entries, **how)
    return station_rows("\n".join(text) + "\n", how, name="july.csv")


def at(*when, zone=UTC):
    return datetime(*when, tzinfo=zone).timestamp()


UNITS = {  # by definition; a rounding of floats
    ("air_temperature_c", "degC"): ("20", 20),
    ("air_temperature_c", "degF"): ("68", 20),
    ("air_temperature_c", "K"): ("293.15", 20),
    ("relative_humidity_frac", "%"): ("62", 0.62),
    ("relative_humidity_frac", "frac"): ("0.62", 0.62),
    ("wind_speed_2m_m_s", "m/s"): ("5", 5),
    ("wind_speed_2m_m_s", "km/h"): ("18", 5),
    ("wind_speed_2m_m_s", "kn"): ("10", 10 * 1852 / 3600),
    ("wind_speed_2m_m_s", "mph"): ("10", 4.4704),
    ("rain_mm", "mm"): ("2.5", 2.5),
    ("rain_mm", "in"): ("0.1", 2.54),
    ("shortwave_w_m2", "W/m2"): ("800", 800),
}


@pytest.mark.parametrize(("name", "unit"), UNITS)
def test_their_unit_becomes_ours(name, unit):
    cell, ours = UNITS[name, unit]
    entries = [f"X={name}:{unit}"] + [e for e in PLAIN if name not in e]
    rows, _ = rows_of(["time,Temp,X", f"2026-07-09T00:00Z,20,{cell}"], entries)
    assert quantity(rows, name)[0] == pytest.approx(ours)


def test_a_name_without_a_unit_is_in_ours():
    how = station_map(["T=air_temperature_c", "H = relative_humidity_frac"])
    assert [(c.head, c.name, c.unit) for c in how.columns] == [
        ("T", "air_temperature_c", "c"),
        ("H", "relative_humidity_frac", "frac"),
    ]


def test_a_head_may_hold_the_sign_that_parts_it():
    (column,) = station_map(["T=2m, degC=air_temperature_c:degC"]).columns
    assert column.head == "T=2m, degC"


def test_all_faults_of_a_map_are_told_at_once():
    entries = ["A=air_temp_c", "B=rain_mm:gallons", "C=rain_mm", "D=rain_mm"]
    assert ids_of(faults_of(station_map, entries)) == [
        "weather.map_name",
        "weather.unit_unknown",
        "weather.map_twice",
        "weather.map_lacks",
    ]
    for entry in ("Temp", "=rain_mm", "Temp="):
        assert ids_of(faults_of(station_map, [entry])) == ["weather.map_entry"]
    (fault,) = faults_of(station_map, PLAIN, wind_height_m=900.0)
    assert fault.figures["key"] == "wind_height_m"


def test_semicolons_decimal_commas_and_a_clock_of_two_columns():
    rows, notes = rows_of(
        [
            "Datum;Zeit;Temp;Regen",
            "09.07.2026;14:00;27,5;0,0",
            "09.07.2026;14:10;27,0;0,2",
        ],
        ["Datum=time", "Zeit=time", *PLAIN, "Regen=rain_mm"],
        delimiter=";",
        decimal=",",
        time_format="%d.%m.%Y %H:%M",
        zone="Europe/Rome",
    )
    assert rows.from_s.tolist() == [at(2026, 7, 9, 12), at(2026, 7, 9, 12, 10)]
    assert rows.until_s[-1] == at(2026, 7, 9, 12, 20)
    assert rows.air_temperature_c.tolist() == [27.5, 27.0]
    assert rows.rain_mm.tolist() == [0.0, 0.2]
    assert ids_of(notes) == ["weather.column_untold"] * 3


def test_a_time_without_offset_needs_a_zone():
    text = ["time,Temp", "2026-07-09 14:00,20"]
    assert ids_of(faults_of(rows_of, text)) == ["weather.time_zone"]
    rows, _ = rows_of(text, zone="Europe/Rome")
    assert rows.from_s[0] == at(2026, 7, 9, 12)
    (fault,) = faults_of(rows_of, text, zone="Europe/Roma")
    assert (fault.message_id, fault.figures["found"]) == (
        "weather.no_such_zone",
        "Europe/Roma",
    )


def test_the_hour_that_comes_twice_in_autumn():
    """25 October 2026: 02:00 to 03:00 is shown twice in Trieste."""
    times = ["01:30", "02:00", "02:30", "02:00", "02:30", "03:00"]
    text = ["time,Temp"] + [f"2026-10-25 {t},9" for t in times]
    rows, notes = rows_of(text, zone="Europe/Rome")
    assert rows.from_s[0] == at(2026, 10, 24, 23, 30)
    assert np.diff(rows.from_s).tolist() == [1800] * 5
    assert "weather.silent" not in ids_of(notes)


def test_the_hour_that_is_left_out_in_spring_is_no_time():
    text = ["time,Temp", "2026-03-29 01:30,9", "2026-03-29 02:30,9"]
    (fault,) = faults_of(rows_of, text, zone="Europe/Rome")
    assert (fault.message_id, fault.figures["row"]) == ("weather.time", "3")


def test_a_row_may_tell_the_time_of_its_end():
    text = ["time,Temp"] + [f"2026-07-09T0{h}:00Z,{h}" for h in (1, 2, 3)]
    rows, _ = rows_of(text, ends=True)
    assert rows.from_s[0] == at(2026, 7, 9, 0)
    assert rows.until_s.tolist() == [at(2026, 7, 9, h) for h in (1, 2, 3)]


def test_a_row_does_not_reach_over_a_gap_and_the_gap_is_told():
    times = ["00:00", "00:10", "00:20", "09:00", "09:10"]
    text = ["time,Temp"] + [f"2026-07-09T{t}Z,20" for t in times]
    rows, notes = rows_of(text)
    assert rows.until_s[2] == at(2026, 7, 9, 0, 30)
    silent = next(n for n in notes if n.message_id == "weather.silent")
    assert silent.figures["missing_h"] == pytest.approx(8.5)
    assert silent.figures["gaps"] == "1"


def test_a_cell_that_tells_nothing_is_a_gap_and_told():
    cells = ["20", "", "---", "NaN", "21"]
    text = ["time,Temp"] + [f"2026-07-09T0{h}:00Z,{c}" for h, c in enumerate(cells)]
    rows, notes = rows_of(text)
    assert np.isnan(rows.air_temperature_c).tolist() == [False, True, True, True, False]
    (gaps,) = [n for n in notes if n.message_id == "weather.column_gaps"]
    assert gaps.figures["missing_h"] == pytest.approx(3)


def test_what_the_station_does_not_tell_is_a_gap():
    rows, notes = rows_of(["time,Temp", "2026-07-09T00:00Z,20"])
    for name in QUANTITIES[1:]:
        assert np.isnan(quantity(rows, name)).all()
    untold = [n.figures["quantity"] for n in notes]
    assert untold == [*QUANTITIES[1:]]


def test_a_value_out_of_range_is_quoted_as_it_stands():
    text = ["time,Temp", "2026-07-09T00:00Z,20", "2026-07-09T01:00Z,140"]
    (fault,) = faults_of(rows_of, text, ["Temp=air_temperature_c:degF"])
    assert fault.message_id == "table.outside"
    assert fault.figures == {
        "file": "july.csv",
        "row": "3",
        "column": "Temp",
        "found": "140",
        "rows": "1",
        "allowed": "-60 to 55 as air_temperature_c",
    }


def test_dew_point_stands_for_humidity():
    """FAO-56, example 5 with table 2.3: 17.0 °C holds 1.938 kPa, 25.0 °C 3.168."""
    entries = [*PLAIN, "Dew=dew_point_c"]
    text = ["time,Temp,Dew", "2026-07-09T00:00Z,25,17", "2026-07-09T01:00Z,10,17"]
    rows, _ = rows_of(text, entries)
    # the table prints 0.001 kPa
    assert rows.relative_humidity_frac[0] == pytest.approx(1.938 / 3.168, abs=0.001)
    assert np.isnan(rows.relative_humidity_frac[1])  # no air holds so much


def test_a_counter_of_rain_is_told_apart_and_may_begin_again():
    counts = [5.0, 5.2, 5.2, 0.4, 0.4]
    text = ["time,Temp,Sum"] + [
        f"2026-07-09T0{h}:00Z,20,{c}" for h, c in enumerate(counts)
    ]
    rows, _ = rows_of(text, [*PLAIN, "Sum=rain_total_mm"])
    assert rows.rain_mm[:4] == pytest.approx([0.2, 0.0, 0.4, 0.0])
    assert np.isnan(rows.rain_mm[4])


def test_a_counter_says_nothing_of_when_it_rained_in_a_gap():
    times = ["00:00", "01:00", "02:00", "09:00"]
    text = ["time,Temp,Sum"] + [f"2026-07-09T{t}Z,20,{n}" for n, t in enumerate(times)]
    rows, _ = rows_of(text, [*PLAIN, "Sum=rain_total_mm"])
    assert rows.rain_mm[:2] == pytest.approx([1, 1])
    assert np.isnan(rows.rain_mm[2:]).all()


def test_wind_is_brought_down_to_two_metres():
    """FAO-56, example 14: 3.2 m/s at 10 m are 2.4 at 2 m, printed to 0.1."""
    entries = [*PLAIN, "Wind=wind_speed_2m_m_s"]
    text = ["time,Temp,Wind", "2026-07-09T00:00Z,20,3.2"]
    rows, _ = rows_of(text, entries, wind_height_m=10.0)
    assert rows.wind_speed_2m_m_s[0] == pytest.approx(2.4, abs=0.05)


def test_a_file_of_next_week_or_of_the_wrong_side_of_the_earth_is_refused(tmp_path):
    path = tmp_path / "july.csv"
    how = station_map([*PLAIN, "Sun=shortwave_w_m2"])

    def written(day, sunny_h):
        lines = [
            f"2026-07-{day:02}T{h:02}:00Z,20,{600 if h in sunny_h else 0}"
            for h in range(24)
        ]
        path.write_text("\n".join(["time,Temp,Sun", *lines]))

    def read():
        return station_batch(path, how, yard="y", spot=SPOT, now_s=NOW_S)

    written(7, range(6, 17))
    batch, notes = read()
    assert (batch.source, batch.rows.from_s.size) == ("station", 24)
    assert "weather.left_out" not in ids_of(notes)
    written(8, range(19, 24))
    assert ids_of(faults_of(read)) == ["weather.sun_at_night"]
    written(20, range(6, 17))
    assert ids_of(faults_of(read)) == ["weather.observed_ahead"]
