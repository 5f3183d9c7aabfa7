"""Weather from a CSV table whose heads bear units."""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

import numpy as np

from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.science.light import SUN_UMOL_J
from arbuscula.strict.columns import ROW, TIME, Column, Table, table_from_csv
from arbuscula.strict.text import text_of_file
from arbuscula.units import HOUR_S

LONGEST_GAP_H: Final = 6.0
BRIDGED: Final = ("table.bridged", "table.rows_bridged")  # the rest is refused

COLUMNS: Final = (
    Column(name="air_temperature_c", low=-60, high=55, outside="table.fahrenheit"),
    Column(name="relative_humidity_frac", low=0, high=1, outside="table.percent"),
    Column(name="wind_speed_2m_m_s", low=0, high=80),
    Column(name="rain_mm", low=0, high=300, empty=0.0),
)
LIGHT: Final = (
    Column(name="shortwave_w_m2", low=-20, high=1500),  # a cold sensor reads below 0
    Column(name="ppfd_umol_m2_s", low=-20, high=3200),
)


def weather_from_table(path: Path) -> tuple[WeatherRows, tuple[Said, ...]]:
    """Return the rows of a table, and what was bridged in it.

    A row holds until the next one. Gaps of up to six hours are bridged by the
    row before, and said; longer ones are faults.
    """
    name = path.name
    table = table_from_csv(text_of_file(path), name=name, columns=COLUMNS, one_of=LIGHT)
    until_s, usual_s = _ends_s(table[TIME])
    notes = [*_rows_missing(table, usual_s, name)]
    for column in [c for c in table if c not in (TIME, ROW)]:
        notes += _cells_missing(table, column, until_s, name)
    faults = [note for note in notes if note.message_id not in BRIDGED]
    if faults:
        raise ArbusculaError(*faults)
    return _rows(table, until_s), tuple(notes)


def _ends_s(from_s: Row) -> tuple[Row, float]:
    """Return when each row ends, and the table's usual step: so long the last lasts."""
    steps_s = np.diff(from_s)
    usual_s = float(np.median(steps_s)) if steps_s.size else HOUR_S
    return np.append(from_s[1:], from_s[-1] + usual_s), usual_s


def _rows(table: Table, until_s: Row) -> WeatherRows:
    held = {column: _held(cells) for column, cells in table.items()}
    if "shortwave_w_m2" in held:
        shortwave_w_m2 = held["shortwave_w_m2"]
    else:
        shortwave_w_m2 = held["ppfd_umol_m2_s"] / SUN_UMOL_J
    return WeatherRows(
        from_s=held[TIME],
        until_s=until_s,
        air_temperature_c=held["air_temperature_c"],
        relative_humidity_frac=held["relative_humidity_frac"],
        wind_speed_2m_m_s=held["wind_speed_2m_m_s"],
        rain_mm=held["rain_mm"],
        shortwave_w_m2=np.maximum(shortwave_w_m2, 0.0),
    )


def _held(cells: Row) -> Row:
    """Return a column whose gaps hold the cell before (at the start, the next)."""
    known = np.flatnonzero(np.isfinite(cells))
    before = np.searchsorted(known, np.arange(cells.size), side="right") - 1
    return cells[known[np.maximum(before, 0)]]


def _rows_missing(table: Table, usual_s: float, name: str) -> Iterator[Said]:
    if usual_s > LONGEST_GAP_H * HOUR_S:
        figures: dict[str, Figure] = {"file": name, "step_h": usual_s / HOUR_S}
        yield Said("table.sparse", figures)
        return
    steps_s = np.diff(table[TIME])
    for place in np.flatnonzero(steps_s > 1.5 * usual_s).tolist():
        missing_h = float(steps_s[place] - usual_s) / HOUR_S
        message_id = _missing(missing_h, "table.rows_gap", "table.rows_bridged")
        row = f"{table[ROW][place]:.0f}"
        yield Said(message_id, {"file": name, "row": row, "missing_h": missing_h})


def _cells_missing(
    table: Table, column: str, until_s: Row, name: str
) -> Iterator[Said]:
    gaps = np.isnan(table[column])
    if gaps.all():
        yield Said("table.empty_column", {"file": name, "column": column})
        return
    edges = np.flatnonzero(np.diff(gaps, prepend=False, append=False))
    for first, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        missing_h = float(until_s[end - 1] - table[TIME][first]) / HOUR_S
        figures: dict[str, Figure] = {
            "file": name,
            "row": f"{table[ROW][first]:.0f}",
            "column": column,
            "missing_h": missing_h,
        }
        yield Said(_missing(missing_h, "table.gap", "table.bridged"), figures)


def _missing(missing_h: float, too_long: str, bridged: str) -> str:
    return too_long if missing_h > LONGEST_GAP_H else bridged
