"""Daily weather that somebody measured, as openly licensed packages carry it.

Used to test the generator, never as an example. The packages aquacrop, pcse and
vega_datasets are read as files. Leap days are left out; years are whole.
"""

import csv
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.world import Normals
from arbuscula.weather.year import DAYS_N, MONTH_OF_DAY, month_means
from scripts.packages import package_file

Rows = NDArray[np.float64]
WAVES_N: Final = 3  # of a usual year
PCSE_COLUMNS_N: Final = 9
GAP: Final = -99.0
END_OF_JULY_N: Final = 212
LEAP_DAY: Final = (2, 29)


@dataclass(frozen=True, kw_only=True)
class Series:
    """A station, and its whole years: (years, 365)."""

    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    night_min_c: Rows
    day_max_c: Rows
    rain_mm: Rows


def from_aquacrop(file: str) -> Rows:
    """Return rows of year, month, day, low, high and rain."""
    path = package_file("aquacrop", "data", file)
    table = np.loadtxt(path, skiprows=1)
    return table[:, [2, 1, 0, 3, 4, 5]]


def from_pcse(station: str) -> Rows:
    """Return the same of a station's yearly files; the year's days are numbered."""
    rows = []
    for path in sorted(
        package_file("pcse", "tests", "test_data").glob(f"{station}.9*")
    ):
        for line in path.read_text(encoding="latin1").splitlines():
            parts = line.split()
            if len(parts) == PCSE_COLUMNS_N and not line.startswith("*"):
                rows.append(_with_date([float(part) for part in parts]))
    return np.array(rows)


def _with_date(parts: list[float]) -> list[float]:
    _, year, day, _, low, high, _, _, rain = parts
    date = np.datetime64(f"{year:.0f}-01-01") + int(day) - 1
    month = int(str(date)[5:7])
    values = [np.nan if part <= GAP else part for part in (low, high, rain)]
    return [year, month, int(str(date)[8:10]), *values]


def from_vega(file: str) -> Rows:
    """Return the same of a table with dates."""
    path = package_file("vega_datasets", "_data", file)
    with path.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    columns = ("temp_min", "temp_max", "precipitation")
    return np.array(
        [
            [float(part) for part in (*r["date"].split("/"), *(r[c] for c in columns))]
            for r in rows
        ]
    )


STATIONS: Final[dict[str, tuple[Callable[[str], Rows], str, float, float, float]]] = {
    "Uccle": (from_aquacrop, "brussels_climate.txt", 50.80, 4.36, 100),
    "Tunis": (from_aquacrop, "tunis_climate.txt", 36.83, 10.23, 4),
    "Hyderabad": (from_aquacrop, "hyderabad_climate.txt", 17.53, 78.27, 545),
    "Champion": (from_aquacrop, "champion_climate.txt", 40.47, -101.75, 1000),
    "Wageningen": (from_pcse, "NL1", 51.97, 5.67, 7),
    "Seattle": (from_vega, "seattle-weather.csv", 47.45, -122.31, 120),
}


def series(name: str) -> Series:
    """Return a station's series; ModuleNotFoundError where its package is not."""
    read, file, latitude_deg, longitude_deg, elevation_m = STATIONS[name]
    table = read(file)
    is_leap_day = (table[:, 1:3] == LEAP_DAY).all(axis=1)
    table = table[~is_leap_day]
    years, days_n = np.unique(table[:, 0], return_counts=True)
    whole = table[np.isin(table[:, 0], years[days_n == DAYS_N])]
    low, high, rain = whole[:, 3:].T.reshape(3, -1, 365)
    return Series(
        name=name,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        elevation_m=elevation_m,
        night_min_c=low,
        day_max_c=high,
        rain_mm=rain,
    )


def normals_of(measured: Series, like: Normals) -> Normals:
    """Return the series' own monthly normals; light and vapour are those of `like`."""
    low, high = (
        month_means(np.nanmean(x, axis=0))
        for x in (measured.night_min_c, measured.day_max_c)
    )
    rain, wet = (
        month_means(np.nanmean(x, axis=0))
        for x in (measured.rain_mm, measured.rain_mm >= 1)
    )
    return replace(
        like,
        night_min_c=low,
        day_max_c=high,
        air_temperature_c=low + 0.49 * (high - low),
        night_min_sd_k=monthly_sd(measured.night_min_c),
        day_max_sd_k=monthly_sd(measured.day_max_c),
        rain_mm_d=rain,
        wet_frac=wet,
    )


def departures(days: Rows) -> Rows:
    """Return what is left when the usual year, three waves of it, is taken out."""
    turn = 2 * np.pi * np.arange(365) / 365
    waves = [f(n * turn) for n in range(1, WAVES_N + 1) for f in (np.cos, np.sin)]
    basis = np.stack([np.ones(365), *waves], axis=1)
    usual = np.nanmean(days, axis=0)
    return days - basis @ np.linalg.lstsq(basis, usual, rcond=None)[0]


def monthly_sd(days: Rows) -> Rows:
    """Return the standard deviation from day to day, by month."""
    left = departures(days)
    return np.array([np.nanstd(left[:, month == MONTH_OF_DAY]) for month in range(12)])


def lag_one(days: Rows) -> float:
    """Return how much of a departure is left on the next day."""
    left = departures(days)
    left = (left - np.nanmean(left)) / np.tile(
        monthly_sd(days)[MONTH_OF_DAY], (len(days), 1)
    )
    return float(np.nanmean(left[:, 1:] * left[:, :-1]))


def last_cold_night(night_min_c: Rows, floor_c: float = 10.0) -> Rows:
    """Return the last day of the year, up to 31 July, with a night under a floor."""
    cold = night_min_c[..., :END_OF_JULY_N] < floor_c
    last = END_OF_JULY_N - cold[..., ::-1].argmax(axis=-1)
    return np.where(cold.any(axis=-1), last, 0)


def first_cold_night(night_min_c: Rows, floor_c: float = 10.0) -> Rows:
    """Return the first day from 1 August on with a night under a floor."""
    cold = night_min_c[..., END_OF_JULY_N:] < floor_c
    return np.where(
        cold.any(axis=-1), END_OF_JULY_N + 1 + cold.argmax(axis=-1), DAYS_N + 1
    )


def cold_nights_by_week(night_min_c: Rows, floor_c: float = 10.0) -> Rows:
    """Return the share of nights under a floor, week by week."""
    cold = (night_min_c < floor_c).mean(axis=0)[:364]
    return cold.reshape(52, 7).mean(axis=1)


def dry_spells_d(rain_mm: Rows) -> Rows:
    """Return the lengths of all runs of days with less than a millimetre."""
    dry = np.pad(rain_mm < 1, ((0, 0), (1, 1))).astype(int)
    edges = np.diff(dry, axis=1)
    starts, ends = np.nonzero(edges == 1), np.nonzero(edges == -1)
    return (ends[1] - starts[1]).astype(float)


def longest_dry_spell_d(rain_mm: Rows) -> float:
    """Return the median over years of the longest dry run."""
    return float(
        np.median([dry_spells_d(year[None]).max(initial=0) for year in rain_mm])
    )
