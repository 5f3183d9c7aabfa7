"""Min-max: what a thermometer's nights and days tell of the years to come.

One May is not every May. A month's mean is off by the weather of that month, and
the tables are off as well; each is believed as far as it deserves.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.weather import Row
from arbuscula.kinds.world import Curve, Normals
from arbuscula.strict.columns import (
    TIME,
    Clock,
    Column,
    number_of,
    sheet_from_csv,
    table_from_csv,
)
from arbuscula.strict.quote import plain
from arbuscula.strict.text import text_of_file
from arbuscula.weather.world import World

SD_OVER_MEAN_ERROR: Final = float(np.sqrt(np.pi / 2))  # of a normal distribution
MONTHS: Final = ("january", "february", "march", "april", "may", "june", "july",
                 "august", "september", "october", "november", "december")  # fmt: skip
SHORTEST_N: Final = 3  # letters of a month
NIGHT: Final = Column(name="night_min_c", low=-60, high=40, outside="table.fahrenheit")
DAY: Final = Column(name="day_max_c", low=-50, high=58, outside="table.fahrenheit")


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """The usual nights and days of a place as far as somebody told, by month."""

    night_min_c: dict[int, float]
    day_max_c: dict[int, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """The days of a table."""

    month_n: NDArray[np.int64]  # counted from nought
    cells_c: Row


def nights_from_words(entries: Iterable[str]) -> dict[int, float]:
    """Read `May=9.5`, or several with commas between: usual nights by month."""
    parts = [part for entry in entries for part in entry.split(",")]
    read = {part: _night(part) for part in parts}
    faults = [
        Said("season.not_a_night", {"found": plain(part)})
        for part, night in read.items()
        if night is None
    ]
    if faults:
        raise ArbusculaError(*faults)
    return dict(night for night in read.values() if night)


def _night(part: str) -> tuple[int, float] | None:
    """Return a month and its night, or nothing where it tells none."""
    name, _, cell = part.partition("=")
    month, is_long = name.strip().lower(), len(name.strip()) >= SHORTEST_N
    named = [n for n, m in enumerate(MONTHS, 1) if is_long and m.startswith(month)]
    numbered = [n for n in range(1, 13) if month == f"{n}"]
    try:
        return (*named, *numbered)[0], number_of(cell)
    except (IndexError, ValueError):
        return None


def known_from_minmax(path: Path, usual: Normals, world: World) -> Known:
    """Return what a table of days makes of one place's monthly normals.

    The table has a `date` and `night_min_c`, `day_max_c`, or both.
    """
    text = text_of_file(path)
    heads = sheet_from_csv(text, name=path.name).heads
    columns = [column for column in (NIGHT, DAY) if column.name in heads] or [NIGHT]
    table = table_from_csv(text, name=path.name, columns=columns, clock=DATES)
    month = table[TIME].astype("datetime64[s]").astype("datetime64[M]")
    return known_from_days(month.astype(np.int64) % 12, table, usual, world)


def known_from_days(
    month_n: NDArray[np.int64], days: Mapping[str, Row], usual: Normals, world: World
) -> Known:
    """Return what days make of one place's monthly normals.

    The months count from nought; the days bear the names of a table's columns.
    """

    def known_c(name: str, usual_c: Curve, spread_k: Curve, error_k: float) -> Row:
        cells_c = days.get(name, np.full(month_n.size, np.nan))
        told = _Told(month_n=month_n, cells_c=cells_c)
        return _likely_c(told, usual_c, spread_k, _table_k2(world, error_k), world)

    night_c = known_c(
        NIGHT.name, usual.night_min_c, usual.night_min_sd_k, usual.error.night_min_k
    )
    day_c = known_c(
        DAY.name, usual.day_max_c, usual.day_max_sd_k, usual.error.day_max_k
    )
    return Known(night_min_c=_by_month(night_c), day_max_c=_by_month(day_c))


def _by_month(known_c: Row) -> dict[int, float]:
    return dict(enumerate(known_c.tolist(), start=1))


def _table_k2(world: World, error_k: float) -> Curve:
    """Return how the normals of any two months are off together.

    How alike they are follows from what one known month leaves of the others'
    error.
    """
    error = world.figures.error
    left = error.corrected_night_min_k.value / error.night_min_k.value
    alike = np.full((12, 12), 1 - left**2 / 2)
    np.fill_diagonal(alike, 1)
    return (SD_OVER_MEAN_ERROR * error_k) ** 2 * alike


def _likely_c(
    told: _Told, usual_c: Curve, spread_k: Curve, table_k2: Curve, world: World
) -> Row:
    """Return the twelve months that are most likely once some days are told.

    Days hang together, so that a month of them tells as much as a few would that
    do not. Nothing told: no month.
    """
    there = np.isfinite(told.cells_c)
    month_n = told.month_n[there]
    days_n = np.bincount(month_n, minlength=12)
    seen = np.flatnonzero(days_n)
    if not seen.size:
        return np.empty(0)
    sums_c = np.bincount(month_n, told.cells_c[there], minlength=12)
    off_k = sums_c[seen] / days_n[seen] - usual_c[seen]
    lag = world.figures.generator.lag_frac.value
    anew_n = np.maximum(days_n[seen] * (1 - lag) / (1 + lag), 1)
    doubt_k2 = table_k2[np.ix_(seen, seen)] + np.diag(spread_k[seen] ** 2 / anew_n)
    return usual_c + table_k2[:, seen] @ np.linalg.solve(doubt_k2, off_k)


def _dates_s(cells: Sequence[str]) -> Row:
    return np.array([_date_s(cell) for cell in cells])


def _date_s(cell: str) -> float:
    try:
        at = datetime.strptime(cell, "%Y-%m-%d").replace(tzinfo=UTC)
    except ValueError:
        return np.nan
    return (at - datetime(1970, 1, 1, tzinfo=UTC)) / timedelta(seconds=1)


DATES: Final = Clock(heads=("date",), read=_dates_s, fault="table.date")
