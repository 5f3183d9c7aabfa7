"""Make a drydown case of any tables: `python scripts/case_from_table.py --help`.

Foreign columns are named by what they hold and in which unit; the tables that a
case wants come out. docs/case-from-table.md shows a whole example.
"""

import csv
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

import click
import numpy as np

from arbuscula.kinds.weather import Row
from arbuscula.science.air import saturation_vapour_pressure_kpa
from arbuscula.science.light import LAMPS_UMOL_LUX_S_M2
from arbuscula.strict.near import near_names
from arbuscula.units import HOUR_S, ZERO_C_IN_KELVIN

MIN_S: Final = 60.0
LONGEST_GAP_S: Final = 6 * HOUR_S  # what `drydown` still bridges
OVER_FULL_FRAC: Final = 1.05  # a sensor in wet air reads a little over one
VAPOUR_G_K_J: Final = 2.16679  # molar mass of water over the gas constant
SPREADSHEET_DAY_0: Final = datetime(1899, 12, 30, tzinfo=UTC)
NOT_MEASURED: Final = ("", "na", "nan", "n/a", "null", "none", "-", "--", "#n/a")
PER_LUX: Final = LAMPS_UMOL_LUX_S_M2["sun"]

# What a foreign column may be called: the case's own column, times, plus.
TAKEN: Final[Mapping[str, tuple[str, float, float]]] = {
    "air_temperature_c": ("air_temperature_c", 1, 0),
    "air_temperature_f": ("air_temperature_c", 5 / 9, -160 / 9),
    "air_temperature_k": ("air_temperature_c", 1, -ZERO_C_IN_KELVIN),
    "relative_humidity_frac": ("relative_humidity_frac", 1, 0),
    "relative_humidity_percent": ("relative_humidity_frac", 0.01, 0),
    "vapour_deficit_kpa": ("vapour_deficit_kpa", 1, 0),
    "vapour_deficit_hpa": ("vapour_deficit_kpa", 0.1, 0),
    "vapour_deficit_pa": ("vapour_deficit_kpa", 0.001, 0),
    "vapour_pressure_kpa": ("vapour_pressure_kpa", 1, 0),
    "vapour_pressure_hpa": ("vapour_pressure_kpa", 0.1, 0),
    "humidity_deficit_g_m3": ("humidity_deficit_g_m3", 1, 0),
    "absolute_humidity_g_m3": ("absolute_humidity_g_m3", 1, 0),
    "dew_point_c": ("dew_point_c", 1, 0),
    "dew_point_f": ("dew_point_c", 5 / 9, -160 / 9),
    "wind_speed_2m_m_s": ("wind_speed_2m_m_s", 1, 0),
    "wind_speed_2m_km_h": ("wind_speed_2m_m_s", 1 / 3.6, 0),
    "wind_speed_2m_mph": ("wind_speed_2m_m_s", 0.44704, 0),
    "rain_mm": ("rain_mm", 1, 0),
    "rain_inch": ("rain_mm", 25.4, 0),
    "shortwave_w_m2": ("shortwave_w_m2", 1, 0),
    "shortwave_mj_m2_h": ("shortwave_w_m2", 1e6 / HOUR_S, 0),
    "shortwave_j_cm2_h": ("shortwave_w_m2", 1e4 / HOUR_S, 0),
    "ppfd_umol_m2_s": ("ppfd_umol_m2_s", 1, 0),
    "ppfd_mol_m2_h": ("ppfd_umol_m2_s", 1e6 / HOUR_S, 0),
    "daylight_lux": ("ppfd_umol_m2_s", PER_LUX, 0),
    "daylight_klux": ("ppfd_umol_m2_s", 1000 * PER_LUX, 0),
    "mass_g": ("mass_g", 1, 0),
    "mass_kg": ("mass_g", 1000, 0),
    "mass_lb": ("mass_g", 453.59237, 0),
    "mass_oz": ("mass_g", 28.349523125, 0),
    "given_ml": ("given_ml", 1, 0),
    "given_l": ("given_ml", 1000, 0),
}
OURS: Final = tuple(dict.fromkeys(ours for ours, _, _ in TAKEN.values()))
PLAIN: Final = ("air_temperature_c", "wind_speed_2m_m_s", "rain_mm")
HUMIDITY: Final = (
    "relative_humidity_frac",
    "vapour_deficit_kpa",
    "vapour_pressure_kpa",
    "humidity_deficit_g_m3",
    "absolute_humidity_g_m3",
    "dew_point_c",
)
LIGHT: Final = ("shortwave_w_m2", "ppfd_umol_m2_s")
SKY: Final = (*PLAIN, *HUMIDITY, *LIGHT)
SUMMED: Final = ("rain_mm",)
SENTENCES: Final = {
    "no rows": "{file} has no rows below row {row}.",
    "no head": "No table has a column {head}. Near to it: {near}.",
    "no such row": "{file}: no row has {value} in its column {head}, but {seen}.",
    "no time": "{file} has no column {heads}, but {seen}. Name the one with the "
    "times by --time.",
    "no zone": "{file}: the time {found} has no offset. Say where that was by "
    "--zone, such as --zone Europe/Rome or --zone +01:00.",
    "no such time": "{file}: a time is written as {found}, not as {formats}. Say "
    'how by --time-format, such as "%d/%m/%Y %H:%M", unix or spreadsheet.',
    "no numbers": "{file}: {cells_n} cells of the column {head} are not numbers, "
    "such as {found}. If that means not measured: --missing {found}.",
    "empty": "No row that was asked for has a number for {name}.",
    "lacking": "No {name}. Name its column by --column, or give one value for all "
    "rows by --constant, such as --constant {name}=0.",
    "none": "Exactly one of {names} is wanted, and none is given.",
    "both": "Exactly one of {names} is wanted, and {found} are given.",
    "not together": "The columns of the weather never hold a number together.",
    "humidity": "By {name} the air would hold {found} of the vapour that it can. "
    "Its unit must be another: --help lists the names.",
    "not covered": "The weather runs from {first} to {last}; --forecast-from {found} "
    "is not in it, or lies in a gap of over six hours.",
    "pair": "{option} {found}: NAME=VALUE is wanted.",
    "no name": "{option}: no name {found} is known. Near to it: {near}.",
    "zone": "--zone {found}: a place such as Europe/Rome is wanted, or an offset "
    "such as +01:00.",
    "moment": "{option} {found}: a time such as 2026-06-05T08:00+02:00 is wanted; "
    "without an offset it needs --zone.",
}


def refused(*, why: str, **figures: object) -> click.UsageError:
    """Return a fault in a sentence."""
    told = {
        name: _listed(some) if isinstance(some, (list, tuple)) else some
        for name, some in figures.items()
    }
    return click.UsageError(SENTENCES[why].format(**told))


def _listed(names: Sequence[str], most_n: int = 12) -> str:
    more = f" and {len(names) - most_n} more" if len(names) > most_n else ""
    return ", ".join(names[:most_n]) + more


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """How foreign tables are to be read."""

    time_heads: tuple[str, ...]
    time_formats: tuple[str, ...]
    zone: tzinfo | None
    heads: Mapping[str, str]  # what a column holds, and its head
    where: Mapping[str, str]
    keep: Mapping[str, tuple[float, float]]
    missing: frozenset[str]
    head_row: int
    first_row: int
    begins_s: float
    ends_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreign:
    """A table as it was found: its heads, and where each stands."""

    name: str
    places: Mapping[str, int]
    rows: list[list[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table in the units of a case: times, and one row of numbers a column."""

    at_s: Row
    columns: Mapping[str, Row]


# Reading


def foreign_of(path: Path, reading: Reading) -> Foreign:
    """Return the cells of a table; a short row ends in empty ones."""
    head, *lines = _text(path).splitlines()[reading.head_row - 1 :] or [""]
    mark = max(",;\t|", key=head.count)
    (heads,) = csv.reader([head], delimiter=mark)
    below = csv.reader(
        lines[reading.first_row - reading.head_row - 1 :], delimiter=mark
    )
    rows = [[cell.strip() for cell in row] for row in below if any(row)]
    if not rows:
        raise refused(why="no rows", file=path.name, row=reading.head_row)
    if mark != ",":
        rows = [[_with_point(cell) for cell in row] for row in rows]
    return Foreign(
        name=path.name,
        places={head.strip(): place for place, head in enumerate(heads)},
        rows=[row + [""] * (len(heads) - len(row)) for row in rows],
    )


def _text(path: Path) -> str:
    content = path.read_bytes()
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")


def _with_point(cell: str) -> str:
    """Return a number with a point for its decimal comma."""
    pointed = cell.replace(",", ".", 1)
    is_number = pointed.lstrip("+-").replace(".", "", 1).isdecimal()
    return pointed if is_number else cell


def refuse_unknown_heads(tables: Sequence[Foreign], reading: Reading) -> None:
    """Refuse a head that no table has: most likely it is misspelt."""
    heads = [head for table in tables for head in table.places]
    for head in (*reading.heads.values(), *reading.where):
        if head not in heads:
            near = near_names(head, heads) or heads
            raise refused(why="no head", head=head, near=near)


def table_of(foreign: Foreign, reading: Reading) -> Table:
    """Return the wanted rows sorted by time, and the columns that have a name."""
    rows = _chosen(foreign, reading)
    at_s = _times(foreign, rows, reading)
    wanted = np.flatnonzero((at_s >= reading.begins_s) & (at_s <= reading.ends_s))
    order = wanted[np.argsort(at_s[wanted], kind="stable")]
    columns = {}
    for name, head in reading.heads.items():
        if head in foreign.places:
            ours, times, plus = TAKEN[name]
            numbers = _numbers(foreign, rows, head, reading) * times + plus
            columns[ours] = _kept(numbers, ours, reading)[order]
    return Table(at_s=at_s[order], columns=columns)


def _chosen(foreign: Foreign, reading: Reading) -> list[list[str]]:
    """Return the rows in which each --where holds, as far as its head is here."""
    rows = foreign.rows
    for head, value in reading.where.items():
        if head not in foreign.places:
            continue
        place = foreign.places[head]
        seen = list(dict.fromkeys(row[place] for row in rows))
        rows = [row for row in rows if row[place] == value]
        if not rows:
            found = {"value": value, "head": head, "seen": seen}
            raise refused(why="no such row", file=foreign.name, **found)
    return rows


def _times(foreign: Foreign, rows: list[list[str]], reading: Reading) -> Row:
    """Return seconds since 1970; a time of two columns is joined by a blank."""
    for heads in reading.time_heads:
        parts = [part.strip() for part in heads.split(" + ")]
        if all(part in foreign.places for part in parts):
            places = [foreign.places[part] for part in parts]
            cells = (" ".join(row[place] for place in places) for row in rows)
            return np.array([_unix_s(cell, reading, foreign.name) for cell in cells])
    seen = [*foreign.places]
    raise refused(why="no time", file=foreign.name, heads=reading.time_heads, seen=seen)


def _unix_s(cell: str, reading: Reading, name: str) -> float:
    for pattern in reading.time_formats:
        try:
            at = _read_time(cell, pattern)
        except (ValueError, OverflowError):
            continue
        if at.tzinfo is None and reading.zone is None:
            raise refused(why="no zone", file=name, found=cell)
        return (at if at.tzinfo else at.replace(tzinfo=reading.zone)).timestamp()
    found, formats = cell or "an empty cell", reading.time_formats
    raise refused(why="no such time", file=name, found=found, formats=formats)


def _read_time(cell: str, pattern: str) -> datetime:
    """Return a time, with its offset if it tells one."""
    match pattern:
        case "iso":
            return datetime.fromisoformat(cell)
        case "unix":
            return datetime.fromtimestamp(float(cell), tz=UTC)
        case "spreadsheet":  # days of the clock on the wall
            at = SPREADSHEET_DAY_0 + timedelta(days=float(cell))
            return at.replace(tzinfo=None)
    return datetime.strptime(cell, pattern)  # noqa: DTZ007 - the zone follows


def _numbers(
    foreign: Foreign, rows: list[list[str]], head: str, reading: Reading
) -> Row:
    garbled = []

    def number(cell: str) -> float:
        if cell.lower() in reading.missing:
            return math.nan
        try:
            return float(cell)
        except ValueError:
            garbled.append(cell)
            return math.nan

    numbers = np.array([number(row[foreign.places[head]]) for row in rows])
    if garbled:
        found = {"cells_n": len(garbled), "head": head, "found": garbled[0]}
        raise refused(why="no numbers", file=foreign.name, **found)
    return numbers


def _kept(numbers: Row, ours: str, reading: Reading) -> Row:
    """Return the numbers, with a gap where --keep does not hold."""
    low, high = reading.keep.get(ours, (-math.inf, math.inf))
    return np.where((numbers >= low) & (numbers <= high), numbers, math.nan)


def joined(tables: Sequence[Table], name: str) -> tuple[Row, Row]:
    """Return times and the numbers known at them; of two at once the first."""
    having = [table for table in tables if name in table.columns]
    at_s = np.concatenate([np.empty(0), *(table.at_s for table in having)])
    numbers = np.concatenate([np.empty(0), *(t.columns[name] for t in having)])
    known = np.isfinite(numbers)
    if not known.any():
        raise refused(why="empty", name=name)
    at_s, first = np.unique(at_s[known], return_index=True)
    return at_s, numbers[known][first]


# Weather


def weather_of(
    tables: Sequence[Table], constants: Mapping[str, float], step_s: float, stamp: str
) -> Table:
    """Return the weather in even steps; those that lack a column are left out."""
    names = [n for n in SKY if any(n in table.columns for table in tables)]
    held = {name: _held(*joined(tables, name), stamp) for name in names}
    first_s = min((from_s[0] for from_s, _, _ in held.values()), default=0)
    last_s = max((until_s[-1] for _, until_s, _ in held.values()), default=step_s)
    edges_s = np.arange(first_s // step_s, math.ceil(last_s / step_s) + 1) * step_s
    even = {name: _evened(*held[name], edges_s, name in SUMMED) for name in names}
    even |= {name: np.full(edges_s.size - 1, v) for name, v in constants.items()}
    columns = _as_a_case_has_them(even)
    whole = np.all([np.isfinite(column) for column in columns.values()], axis=0)
    if not whole.any():
        raise refused(why="not together")
    whole_columns = {name: column[whole] for name, column in columns.items()}
    return Table(at_s=edges_s[:-1][whole], columns=whole_columns)


def _held(at_s: Row, numbers: Row, stamp: str) -> tuple[Row, Row, Row]:
    """Return from when until when each number holds: to the next, if that is near."""
    lasts_s = np.diff(at_s)
    usual_s = float(np.median(lasts_s)) if lasts_s.size else HOUR_S
    lasts_s = np.where(lasts_s > max(LONGEST_GAP_S, usual_s), usual_s, lasts_s)
    if stamp == "end":
        return at_s - np.insert(lasts_s, 0, usual_s), at_s, numbers
    return at_s, at_s + np.append(lasts_s, usual_s), numbers


def _evened(
    from_s: Row,
    until_s: Row,
    numbers: Row,
    edges_s: Row,
    summed: bool,  # noqa: FBT001 - one fact of a column
) -> Row:
    """Return each step's mean (or sum); a gap where over half of it is missing."""
    lasts_s = until_s - from_s
    ends_s = np.stack([from_s, until_s], axis=1).ravel()

    def within(amounts: Row) -> Row:
        grown = np.cumsum(amounts)
        at_ends = np.stack([grown - amounts, grown], axis=1).ravel()
        return np.diff(np.interp(edges_s, ends_s, at_ends))

    covered_s = within(lasts_s)
    enough = covered_s >= np.diff(edges_s) / 2
    if summed:
        return np.where(enough, within(numbers), math.nan)
    mean = within(numbers * lasts_s) / np.where(enough, covered_s, 1)
    return np.where(enough, mean, math.nan)


def _as_a_case_has_them(even: Mapping[str, Row]) -> dict[str, Row]:
    """Return the five columns of a case, or say which is missing."""
    for name in PLAIN:
        if name not in even:
            raise refused(why="lacking", name=name)
    humidity, light = _one_of(HUMIDITY, even), _one_of(LIGHT, even)
    air_c = even["air_temperature_c"]
    return {
        "air_temperature_c": air_c,
        "relative_humidity_frac": humidity_frac(humidity, even[humidity], air_c),
        "wind_speed_2m_m_s": even["wind_speed_2m_m_s"],
        "rain_mm": even["rain_mm"],
        light: even[light],
    }


def _one_of(names: Sequence[str], even: Mapping[str, Row]) -> str:
    found = [name for name in names if name in even]
    if not found:
        raise refused(why="none", names=names)
    if len(found) > 1:
        raise refused(why="both", names=names, found=found)
    return found[0]


def humidity_frac(name: str, numbers: Row, air_temperature_c: Row) -> Row:
    """Return relative humidity from whichever measure of vapour there is."""
    full_kpa = saturation_vapour_pressure_kpa(air_temperature_c)
    full_g_m3 = 1000 * VAPOUR_G_K_J * full_kpa / (air_temperature_c + ZERO_C_IN_KELVIN)
    match name:
        case "relative_humidity_frac":
            frac = numbers
        case "vapour_deficit_kpa":
            frac = 1 - numbers / full_kpa
        case "vapour_pressure_kpa":
            frac = numbers / full_kpa
        case "humidity_deficit_g_m3":
            frac = 1 - numbers / full_g_m3
        case "absolute_humidity_g_m3":
            frac = numbers / full_g_m3
        case _:
            frac = saturation_vapour_pressure_kpa(numbers) / full_kpa
    middle_frac = float(np.nanmedian(frac))
    if not 0 <= middle_frac <= OVER_FULL_FRAC:
        raise refused(why="humidity", name=name, found=f"{middle_frac:.0%}")
    return np.clip(frac, 0, 1)


def stretch_around(weather: Table, now_s: float) -> Table:
    """Return the rows around a moment, up to a long gap on either side."""
    at_s = weather.at_s
    place = int(np.searchsorted(at_s, now_s, side="right")) - 1
    if place < 0 or now_s > at_s[place] + LONGEST_GAP_S:
        first, last, found = (_iso(s) for s in (at_s[0], at_s[-1], now_s))
        raise refused(why="not covered", first=first, last=last, found=found)
    breaks = np.flatnonzero(np.diff(at_s) > LONGEST_GAP_S) + 1
    begins = int(np.max(breaks, where=breaks <= place, initial=0))
    ends = int(np.min(breaks, where=breaks > place, initial=at_s.size))
    columns = {name: column[begins:ends] for name, column in weather.columns.items()}
    return Table(at_s=at_s[begins:ends], columns=columns)


def _iso(at_s: float) -> str:
    return datetime.fromtimestamp(at_s, tz=UTC).isoformat(timespec="minutes")


# Weights and waterings


def weights_of(tables: Sequence[Table], step_s: float, window_s: float) -> Table:
    """Return the first weighing of each step; a step of nil returns them all.

    Its mass is the median of the weighings in a window around it.
    """
    at_s, mass_g = joined(tables, "mass_g")
    step = np.floor(at_s / step_s) if step_s else np.arange(at_s.size)
    first_s = at_s[np.diff(step, prepend=-np.inf) > 0]
    begins = np.searchsorted(at_s, first_s - window_s / 2)
    ends = np.searchsorted(at_s, first_s + window_s / 2, side="right")
    pairs = zip(begins.tolist(), ends.tolist(), strict=True)
    middle_g = np.array([np.median(mass_g[b:e]) for b, e in pairs])
    return Table(at_s=first_s, columns={"mass_g": middle_g})


def waterings_of(tables: Sequence[Table]) -> Table:
    """Return what was given; a table without amounts tells when it was soaked."""
    if not any("given_ml" in table.columns for table in tables):
        at_s = np.unique(np.concatenate([table.at_s for table in tables]))
        return Table(at_s=at_s, columns={"given_ml": np.full(at_s.size, math.nan)})
    at_s, given_ml = joined(tables, "given_ml")
    poured = given_ml > 0
    return Table(at_s=at_s[poured], columns={"given_ml": given_ml[poured]})


# Writing


def write_table(path: Path, table: Table, zone: tzinfo | None) -> None:
    """Write one table as a case wants it; a gap is an empty cell."""
    numbers = [[_cell(n) for n in column] for column in table.columns.values()]
    with path.open("w", encoding="utf-8", newline="") as lines:
        rows = csv.writer(lines, lineterminator="\n")
        rows.writerow(["time", *table.columns])
        for at_s, *cells in zip(table.at_s.tolist(), *numbers, strict=True):
            at = datetime.fromtimestamp(at_s, tz=zone)
            rows.writerow([at.isoformat(timespec="seconds"), *cells])


def _cell(number: float) -> str:
    return "" if math.isnan(number) else f"{round(number, 4) + 0.0:.10g}"


def case_toml(asked: Mapping[str, object], now: datetime, files: Iterable[str]) -> str:
    """Return the text of a case's file; what it says is for `drydown` to judge."""
    lines = [
        "# Made by scripts/case_from_table.py.",
        "",
        'schema = "arbuscula.drydown-case/1"',
        f'species = "{asked["species"]}"',
        f"forecast_from = {now.isoformat()}",
        f"horizon_h = {asked['horizon_h']:g}",
    ]
    for head in ("pot", "mix", "plant", "yard"):
        told = pairs_of(asked[head], f"--{head}", _toml)
        lines += _toml_table(head, told) if told or head == "plant" else []
    lines += _toml_table("files", {name: f'"{name}.csv"' for name in files})
    return "\n".join(lines) + "\n"


def _toml_table(head: str, told: Mapping[str, str]) -> list[str]:
    return ["", f"[{head}]", *(f"{key} = {value}" for key, value in told.items())]


def _toml(value: str) -> str:
    try:
        return f"{float(value):.10g}"
    except ValueError:
        return f'"{value}"'


# The command


def pairs_of(
    texts: Iterable[str], option: str, kind: Callable[[str], object] = str
) -> dict[str, object]:
    """Return what an option of the form NAME=VALUE says, given once or more."""
    pairs = {}
    for text in texts:
        name, is_there, value = text.partition("=")
        try:
            pairs[name.strip()] = kind(value.strip())
        except ValueError:
            is_there = ""
        if not is_there:
            raise refused(why="pair", option=option, found=text)
    return pairs


def _range(text: str) -> tuple[float, float]:
    low, _, high = text.partition("..")
    return float(low or -math.inf), float(high or math.inf)


def _refuse_unknown(names: Iterable[str], known: Iterable[str], option: str) -> None:
    for name in names:
        if name not in known:
            near = near_names(name, known) or [*known]
            raise refused(why="no name", option=option, found=name, near=near)


def zone_of(text: str | None) -> tzinfo | None:
    """Return the zone of times without an offset, from a place or an offset."""
    if not text:
        return None
    try:
        is_offset = text[0] in "+-"
        return datetime.strptime(text, "%z").tzinfo if is_offset else ZoneInfo(text)
    except (ValueError, OSError):
        raise refused(why="zone", found=text) from None


def moment_of(text: str, zone: tzinfo | None, option: str) -> datetime:
    """Return a moment with its offset."""
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise refused(why="moment", option=option, found=text) from None
    if at.tzinfo is None and zone is None:
        raise refused(why="moment", option=option, found=text)
    at = at if at.tzinfo else at.replace(tzinfo=zone)
    return at.astimezone(timezone(at.utcoffset() or timedelta()))


def reading_of(asked: Mapping[str, object]) -> Reading:
    """Return how foreign tables are to be read, from the options."""
    zone = zone_of(asked["zone"])
    heads = pairs_of(asked["column"], "--column")
    keep = pairs_of(asked["keep"], "--keep", _range)
    _refuse_unknown(heads, TAKEN, "--column")
    _refuse_unknown(keep, OURS, "--keep")
    begins, ends = (
        moment_of(asked[name], zone, f"--{name}").timestamp() if asked[name] else none
        for name, none in (("begins", -math.inf), ("ends", math.inf))
    )
    return Reading(
        time_heads=asked["time"],
        time_formats=asked["time_format"],
        zone=zone,
        heads=heads,
        where=pairs_of(asked["where"], "--where"),
        keep=keep,
        missing=frozenset((*NOT_MEASURED, *map(str.lower, asked["missing"]))),
        head_row=asked["head_row"],
        first_row=asked["first_row"] or asked["head_row"] + 1,
        begins_s=begins,
        ends_s=ends,
    )


def tables_of(asked: Mapping[str, object], reading: Reading) -> dict[str, list[Table]]:
    """Return the foreign tables of each role, in the units of a case."""
    roles = [role for role in ("weather", "weights", "waterings") if asked[role]]
    foreign = {role: [foreign_of(p, reading) for p in asked[role]] for role in roles}
    refuse_unknown_heads([t for some in foreign.values() for t in some], reading)
    return {role: [table_of(t, reading) for t in foreign[role]] for role in roles}


def made_of(
    asked: Mapping[str, object], tables: Mapping[str, list[Table]], now: datetime
) -> dict[str, Table]:
    """Return the tables of the case."""
    constants = pairs_of(asked["constant"], "--constant", float)
    _refuse_unknown(constants, SKY, "--constant")
    step_s = asked["weather_step_min"] * MIN_S
    whole = weather_of(tables["weather"], constants, step_s, asked["stamp"])
    made = {"weather": stretch_around(whole, now.timestamp())}
    if "weights" in tables:
        spans_s = asked["weights_step_min"] * MIN_S, asked["window_min"] * MIN_S
        made["weights"] = weights_of(tables["weights"], *spans_s)
    if "waterings" in tables:
        made["waterings"] = waterings_of(tables["waterings"])
    return made


FILE: Final = click.Path(exists=True, dir_okay=False, path_type=Path)
WORDS: Final = {"show_default": True}


@click.command()
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.option("--weather", type=FILE, multiple=True, required=True, help="A table.")
@click.option("--weights", type=FILE, multiple=True, help="A table, or the same one.")
@click.option("--waterings", type=FILE, multiple=True, help="A table, if there is one.")
@click.option(
    "--column",
    multiple=True,
    metavar="NAME=HEAD",
    help=f"What the column of this head holds: {', '.join(TAKEN)}.",
)
@click.option(
    "--constant",
    multiple=True,
    metavar="NAME=VALUE",
    help=f"One value for all rows of the weather: {', '.join(SKY)}.",
)
@click.option(
    "--time",
    multiple=True,
    default=["time"],
    metavar="HEAD",
    help='The head of the times; of two columns, "date + hour". Several, if the '
    "tables differ: each is read by the first that it has.",
    **WORDS,
)
@click.option(
    "--time-format",
    multiple=True,
    default=["iso"],
    help='iso, unix, spreadsheet, or a pattern such as "%d/%m/%y %H:%M"; the first '
    "that fits.",
    **WORDS,
)
@click.option("--zone", help="Of times without offset: Europe/Rome, UTC or +01:00.")
@click.option("--where", multiple=True, metavar="HEAD=VALUE", help="Only such rows.")
@click.option(
    "--keep",
    multiple=True,
    metavar="NAME=LOW..HIGH",
    help=f"Numbers outside are gaps: {', '.join(OURS)}.",
)
@click.option("--missing", multiple=True, help="A cell that means not measured.")
@click.option("--head-row", type=click.IntRange(1), default=1, **WORDS)
@click.option("--first-row", type=click.IntRange(2), help="If not below the heads.")
@click.option("--begins", help="Leave out what is before this time.")
@click.option("--ends", help="Leave out what is after this time.")
@click.option(
    "--stamp",
    type=click.Choice(["start", "end"]),
    default="start",
    help="Whether a time is the start or the end of what its row of weather tells.",
    **WORDS,
)
@click.option(
    "--weather-step-min", type=click.FloatRange(1, 360), default=60.0, **WORDS
)
@click.option(
    "--weights-step-min",
    type=click.FloatRange(0, 1440),
    default=60.0,
    help="One weighing a step; 0 takes all.",
    **WORDS,
)
@click.option(
    "--window-min",
    type=click.FloatRange(0, 360),
    default=10.0,
    help="Each mass is the median of the weighings in so long a time around it.",
    **WORDS,
)
@click.option("--forecast-from", required=True, help="Such as 2026-06-05T08:00+02:00.")
@click.option("--horizon-h", type=float, default=120.0, **WORDS)
@click.option("--species", default="ficus-microcarpa", **WORDS)
@click.option(
    "--pot",
    multiple=True,
    required=True,
    metavar="NAME=VALUE",
    help="As a case has it, each by itself: shape=round, diameter_mm=180, ...",
)
@click.option("--mix", multiple=True, default=["peat=1"], metavar="NAME=SHARE", **WORDS)
@click.option("--plant", multiple=True, metavar="NAME=VALUE", help="leaf_area_m2=0.2")
@click.option(
    "--yard",
    multiple=True,
    metavar="NAME=VALUE",
    help="latitude_deg, longitude_deg, elevation_m: for plants under the sky.",
)
def main(folder: Path, **asked: object) -> None:
    """Make a case in FOLDER for `arbuscula drydown`, of any tables.

    Each table gives the columns whose heads it has. docs/case-from-table.md shows
    a whole example.
    """
    reading = reading_of(asked)
    now = moment_of(asked["forecast_from"], reading.zone, "--forecast-from")
    made = made_of(asked, tables_of(asked, reading), now)
    folder.mkdir(parents=True, exist_ok=True)
    for role, table in made.items():
        write_table(folder / f"{role}.csv", table, now.tzinfo)
        click.echo(f"{role}.csv: {table.at_s.size} rows")
    text = case_toml(asked, now, made)
    (folder / "case.toml").write_text(text, encoding="utf-8")
    click.echo(f"Now run: arbuscula drydown {folder / 'case.toml'}")


if __name__ == "__main__":
    main()
