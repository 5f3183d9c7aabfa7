"""Station: the file of a weather station, under its own heads and in its own units.

What it does not tell is left to others; what is missing is told.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from datetime import datetime
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from arbuscula.kinds.forecast import Batch, StationColumn, StationMap
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.weather import Row, Spot, WeatherRows
from arbuscula.science.air import saturation_vapour_pressure_kpa, wind_speed_2m_m_s
from arbuscula.science.light import SUN_UMOL_J
from arbuscula.strict.columns import (
    TIME,
    Clock,
    Column,
    Table,
    number_of,
    table_from_csv,
)
from arbuscula.strict.kinds import kind_from_table
from arbuscula.strict.near import near_names
from arbuscula.strict.text import text_of_file
from arbuscula.units import HOUR_S, unit_of
from arbuscula.weather.foreign import factors
from arbuscula.weather.packed import (
    QUANTITIES,
    observed_batch,
    rows_from,
)
from arbuscula.weather.plausible import plausible
from arbuscula.weather.table import COLUMNS, LIGHT

KEY: Final = "station"
LONG_STEP: Final = 1.5  # of the usual one; a row holds no longer
WETTER_THAN_FULL: Final = 1.05  # a dew point so far above the air is a slip
LOW_M: Final = 2.0  # where wind counts; there it is taken as it is
YEARS: Final = range(1900, 2200)
BLANKS: Final = ("", "-", "--", "---", "NA", "N/A", "NaN", "nan", "null")

KNOWN: Final = {
    column.name: replace(column, empty=None, outside="table.outside")
    for column in (
        *COLUMNS,
        *LIGHT,
        Column(name="dew_point_c", low=-80, high=40),
        Column(name="rain_total_mm", low=0, high=100_000),  # a counter that grows
    )
}
NEEDED: Final = "air_temperature_c"


def station_map(entries: Iterable[str], **how: str | bool | float) -> StationMap:
    """Return how to read a file, from entries such as `Temp=air_temperature_c:degF`.

    `Date=time` and `Clock=time` name the columns that tell the time. Without a
    unit a column is in ours. All faults are told at once.
    """
    parts = [_parts(entry) for entry in entries]
    time = tuple(head for head, name, _ in parts if name == TIME) or (TIME,)
    columns = [StationColumn(head=h, name=n, unit=u) for h, n, u in parts if n != TIME]
    faults = [*_faults(columns)]
    if faults:
        raise ArbusculaError(*faults)
    told = {"columns": [asdict(column) for column in columns], "time": [*time]}
    return kind_from_table({**told, **how}, StationMap, name="map")


def _parts(entry: str) -> tuple[str, str, str]:
    """Return their head, our name, and their unit."""
    head, has, ours = entry.rpartition("=")
    if not has or not head.strip() or not ours.strip():
        raise ArbusculaError(Said("weather.map_entry", {"found": entry}))
    name, _, unit = ours.partition(":")
    suffix = unit_of(name.strip()) or ""
    return head.strip(), name.strip(), unit.strip() or suffix


def _faults(columns: Sequence[StationColumn]) -> Iterator[Said]:
    names = [column.name for column in columns]
    for column in columns:
        if column.name not in KNOWN:
            near = ", ".join(near_names(column.name, KNOWN) or KNOWN)
            yield Said("weather.map_name", {"found": column.name, "near": near})
            continue
        try:
            factors(name=column.name, unit=column.unit, where=column.head)
        except ArbusculaError as error:
            yield from error.faults
    for name in sorted({name for name in names if names.count(name) > 1}):
        yield Said("weather.map_twice", {"quantity": name})
    if NEEDED not in names:
        yield Said("weather.map_lacks", {"quantity": NEEDED})


def station_batch(
    path: Path, how: StationMap, *, yard: str, spot: Spot, now_s: float
) -> tuple[Batch, tuple[Said, ...]]:
    """Return what a station's file tells of a yard, and what is missing in it."""
    rows, notes = station_rows(text_of_file(path), how, name=path.name)
    batch = observed_batch(rows, yard=yard, source=KEY, now_s=now_s)
    batch, odd = plausible(batch, spot)
    return batch, (*notes, *odd)


def station_rows(
    text: str, how: StationMap, *, name: str
) -> tuple[WeatherRows, tuple[Said, ...]]:
    """Return the rows of a station's table, and what is missing in them."""
    table = table_from_csv(
        text,
        name=name,
        columns=[_column(column, how) for column in how.columns],
        clock=_clock(how),
        delimiter=how.delimiter,
    )
    from_s, until_s = _spans_s(table[TIME], ends=how.ends)
    cells = dict(_quantities(table, how))
    rows = rows_from([from_s, until_s, *(cells[q] for q in QUANTITIES)])
    return rows, (*_gaps_in_time(rows, name), *_gaps(rows, name))


def _column(column: StationColumn, how: StationMap) -> Column:
    plus, times = factors(name=column.name, unit=column.unit, where=column.head)

    def read(cell: str) -> float:
        return (number_of(cell.replace(how.decimal, ".")) + plus) * times

    known = KNOWN[column.name]
    told_as = f"as {column.name}"
    return replace(known, head=column.head, read=read, blanks=BLANKS, told_as=told_as)


def _clock(how: StationMap) -> Clock:
    zone = _zone(how.zone) if how.zone else None

    def read(cells: Sequence[str]) -> Row:
        told_s: list[float] = []
        for cell in cells:
            told_s.append(_unix_s(cell, how, zone, told_s[-1] if told_s else -np.inf))
        return np.array(told_s)

    fault = "weather.time" if how.zone else "weather.time_zone"
    return Clock(heads=how.time, read=read, fault=fault)


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        figures: dict[str, Figure] = {"found": name}
        raise ArbusculaError(Said("weather.no_such_zone", figures)) from None


def _unix_s(
    cell: str, how: StationMap, zone: ZoneInfo | None, before_s: float
) -> float:
    """Return a time, or a gap where it is none.

    An hour that a clock shows twice is the later one where the row before was
    there already; an hour that it leaves out is no time.
    """
    try:
        at = _parsed(cell, how.time_format)
    except ValueError:
        return np.nan
    if at.year not in YEARS or (at.tzinfo is None and zone is None):
        return np.nan
    if at.tzinfo is not None:
        return at.timestamp()
    early_s, late_s = (at.replace(tzinfo=zone, fold=n).timestamp() for n in (0, 1))
    if datetime.fromtimestamp(early_s, tz=zone).replace(tzinfo=None) != at:
        return np.nan
    return late_s if early_s <= before_s < late_s else early_s


def _parsed(cell: str, time_format: str) -> datetime:
    if time_format:
        return datetime.strptime(cell, time_format)  # noqa: DTZ007 - its zone comes later
    return datetime.fromisoformat(cell)


def _spans_s(at_s: Row, *, ends: bool) -> tuple[Row, Row]:
    """Return when each row begins and ends; none reaches over a gap."""
    usual_s = float(np.median(np.diff(at_s))) if at_s.size > 1 else HOUR_S
    steps_s = np.diff(at_s)
    steps_s = np.where(steps_s > LONG_STEP * usual_s, usual_s, steps_s)
    if ends:
        return at_s - np.concatenate([[usual_s], steps_s]), at_s
    return at_s, at_s + np.append(steps_s, usual_s)


def _quantities(table: Table, how: StationMap) -> Iterator[tuple[str, Row]]:
    """Yield each of our quantities; what the station does not tell is a gap."""
    told = dict(table)
    air_c = told[NEEDED]
    if "dew_point_c" in told:
        told.setdefault("relative_humidity_frac", _humidity(told["dew_point_c"], air_c))
    if "rain_total_mm" in told:
        rain_mm = _fallen_mm(told["rain_total_mm"], told[TIME], ends=how.ends)
        told.setdefault("rain_mm", rain_mm)
    if "ppfd_umol_m2_s" in told:
        told.setdefault("shortwave_w_m2", told["ppfd_umol_m2_s"] / SUN_UMOL_J)
    if "wind_speed_2m_m_s" in told and how.wind_height_m != LOW_M:
        wind = told["wind_speed_2m_m_s"]
        low = wind_speed_2m_m_s(wind_speed_m_s=wind, height_m=how.wind_height_m)
        told["wind_speed_2m_m_s"] = np.asarray(low)
    gap = np.full_like(air_c, np.nan)
    yield from ((name, told.get(name, gap)) for name in QUANTITIES)


def _humidity(dew_c: Row, air_c: Row) -> Row:
    full = saturation_vapour_pressure_kpa(dew_c) / saturation_vapour_pressure_kpa(air_c)
    return np.where(full <= WETTER_THAN_FULL, np.minimum(full, 1), np.nan)


def _fallen_mm(total_mm: Row, at_s: Row, *, ends: bool) -> Row:
    """Return what fell in each row; a counter that has fallen began again at nil."""
    steps_mm, steps_s = np.diff(total_mm), np.diff(at_s)
    fallen_mm = np.where(steps_mm < 0, total_mm[1:], steps_mm)
    usual_s = float(np.median(steps_s)) if steps_s.size else HOUR_S
    fallen_mm[steps_s > LONG_STEP * usual_s] = np.nan  # it fell in the gap, or not
    gap = [np.nan]
    return np.concatenate([gap, fallen_mm] if ends else [fallen_mm, gap])


def _gaps_in_time(rows: WeatherRows, name: str) -> Iterator[Said]:
    """Tell how long the station was silent."""
    silent_h = (rows.from_s[1:] - rows.until_s[:-1]) / HOUR_S
    gaps_h = silent_h[silent_h > 0]
    if gaps_h.size:
        figures: dict[str, Figure] = {
            "file": name,
            "gaps": f"{gaps_h.size}",
            "missing_h": float(gaps_h.sum()),
            "longest_h": float(gaps_h.max()),
        }
        yield Said("weather.silent", figures)


def _gaps(rows: WeatherRows, name: str) -> Iterator[Said]:
    """Tell of each quantity how much of it is missing, or that all is."""
    lasts_h = (rows.until_s - rows.from_s) / HOUR_S
    cells: Mapping[str, Row] = {q: getattr(rows, q) for q in QUANTITIES}
    for quantity, told in cells.items():
        missing = np.isnan(told)
        about: dict[str, Figure] = {"file": name, "quantity": quantity}
        if missing.all():
            yield Said("weather.column_untold", about)
        elif missing.any():
            missing_h = float(lasts_h[missing].sum())
            yield Said("weather.column_gaps", {**about, "missing_h": missing_h})
