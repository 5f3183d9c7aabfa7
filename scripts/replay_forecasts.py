"""Replay forecasts over measured years, to see whether chances of cold nights hold.

Each evening a forecast is made of the night that came, off as forecasts are off:
by a part that lasts from day to day, by a part of the night's own, now and then by
much, and at some places always by the same. What the program makes of it, the
chance of a night under 10 degrees, is set beside what happened, and beside the
usual nights of the place. `python -m scripts.replay_forecasts` prints the table of
docs/weather.md.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.forecast import Kept, WeatherSort
from arbuscula.start import LIBRARY
from arbuscula.state.learning.nights import night_off
from arbuscula.weather.compose import forecast_figures
from arbuscula.weather.local import LocalShift, error_ratio, shifted_ahead
from arbuscula.weather.normals import by_day, normals_at
from arbuscula.weather.packed import rows_from
from arbuscula.weather.spread import spread_out
from arbuscula.weather.world import read_world
from arbuscula.weather.year import DAYS_N, MONTH_OF_DAY
from scripts.daily_series import Series, series

Row = NDArray[np.float64]
FLOOR_C: Final = 10.0
HOURS_N: Final = 18  # from six in the evening to noon
COLDEST_N: Final = 11  # five in the morning
HOUR_S: Final = 3600.0
DAY_S: Final = 86_400.0
FIRST_S: Final = 1_325_376_000.0  # 1 January 2012, midnight UTC
MEMBERS_N: Final = 64
REMEMBERED_N: Final = 60
LASTS_FRAC: Final = 0.4  # of an error, until the next evening
STEP_K: Final = 5 / 9  # of a reading
RAW_ERROR_K: Final = 1.8  # of a night's low, told the evening before
FITS_N, DEGREE = 20, 3  # replays that a forecast is fitted to, and how
SELDOM_FRAC, BUST_RATIO = 0.1, 2.4  # of the nights are off by so much more
SEEDS_N: Final = 8
OPENS_N, CLOSES_N = 90, 304  # days of the year
BIN_EDGES: Final = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)


@dataclass(frozen=True, kw_only=True)
class Replayed:
    """Chances that were told, and whether it came so."""

    told_frac: Row
    came: NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Bin:
    """Nights of like chances: what was told on average, and how often it came."""

    told_frac: float
    came_frac: float
    nights_n: int


def unrounded(measured: Series) -> Series:
    """Return a series that was read in whole degrees Fahrenheit, the rest drawn.

    Otherwise every night that was read as 50 degrees counts as warm enough.
    """
    rng = np.random.default_rng(0)
    lows = measured.night_min_c
    off = rng.uniform(-STEP_K / 2, STEP_K / 2, lows.shape)
    return replace(measured, night_min_c=lows + off)


def courses_c(measured: Series) -> tuple[Row, Row]:
    """Return every night by the hour, and the days before: evening, low, morning."""
    low = measured.night_min_c.reshape(-1)
    high = measured.day_max_c.reshape(-1)
    before = np.concatenate([high[:1], high[:-1]])
    hours = np.arange(HOURS_N) + 0.5
    falls = (1 + np.cos(np.pi * np.minimum(hours / (COLDEST_N + 0.5), 1))) / 2
    rises = np.maximum(hours - (COLDEST_N + 0.5), 0) / (HOURS_N - COLDEST_N)
    evening = 0.6 * (before - low)[:, None] * falls
    return low[:, None] + evening + 0.8 * (high - low)[:, None] * rises, low


def noise(nights_n: int, rng: np.random.Generator) -> Row:
    """Return what forecasts are off, in standard deviations, night after night."""
    busts = rng.random(nights_n) < SELDOM_FRAC
    own = rng.standard_normal(nights_n) * np.where(busts, BUST_RATIO, 1.0)
    own /= np.sqrt(1 + SELDOM_FRAC * (BUST_RATIO**2 - 1))
    off = np.zeros(nights_n)
    for n in range(nights_n):
        before = off[n - 1] if n else rng.standard_normal()
        off[n] = LASTS_FRAC * before + np.sqrt(1 - LASTS_FRAC**2) * own[n]
    return off


def forecast_lows_c(measured: Series, rng: np.random.Generator) -> Row:
    """Return a forecast of every low, around which what came scatters.

    A raw forecast is off by noise; then it is fitted to what came, month by month,
    as services fit theirs. Unfitted it would be too bold: of many warm nights some
    are told to be cold, of few cold ones less are told to be warm.
    """
    lows = measured.night_min_c.reshape(-1)
    month = np.tile(MONTH_OF_DAY, len(measured.night_min_c))
    raw = np.stack([lows + RAW_ERROR_K * noise(lows.size, rng) for _ in range(FITS_N)])
    told = np.empty(lows.size)
    for m in range(12):
        inside = month == m
        came = np.tile(lows[inside], FITS_N)
        fit = np.polynomial.Polynomial.fit(raw[:, inside].reshape(-1), came, DEGREE)
        told[inside] = fit(raw[0, inside])
    return told


def replayed(
    measured: Series, *, always_k: float = 0.0, learns: bool = False, seed: int = 1
) -> Replayed:
    """Return the program's chances of a cold night, forecast by forecast.

    `always_k` is how much colder the place is than all forecasts say; where it
    learns, every low is read in the morning.
    """
    courses, lows = courses_c(measured)
    told_c = forecast_lows_c(measured, np.random.default_rng(seed))
    off_k = told_c - lows + always_k
    told = np.full(len(courses), np.nan)
    read_less_told: list[float] = []
    wanted = range(len(courses)) if learns else np.flatnonzero(is_open(len(courses)))
    for n in wanted:
        members_c = _members_c(courses[n] + off_k[n], n, seed, None)
        if learns:
            local = _learned(np.array(read_less_told[-REMEMBERED_N:]), n)
            median_c = float(np.median(members_c.min(axis=1)))
            read_less_told.append(float(courses[n].min()) - median_c)
            members_c = _members_c(courses[n] + off_k[n], n, seed, local)
        told[n] = np.mean(members_c.min(axis=1) < FLOOR_C)
    return Replayed(told_frac=told, came=courses.min(axis=1) < FLOOR_C)


def _members_c(course_c: Row, n: int, seed: int, local: LocalShift | None) -> Row:
    """Return a night's forecast as the program spreads and moves it."""
    issued_s = FIRST_S + n * DAY_S
    from_s = issued_s + np.arange(HOURS_N) * HOUR_S
    calm = np.full(HOURS_N, 0.5)
    rows = rows_from(
        [from_s, from_s + HOUR_S, course_c, calm, calm, 0 * calm, 0 * calm]
    )
    spread = spread_out(
        rows,
        _kept(f"yard {seed}", issued_s),
        forecast_figures(),
        as_of_s=issued_s,
        members_n=MEMBERS_N,
        air_ratio=error_ratio(rows, local),
    )
    return (shifted_ahead(spread, local) if local else spread).air_temperature_c


def _kept(yard: str, issued_s: float) -> Kept:
    return Kept(
        position_n=1,
        digest="",
        yard=yard,
        source="replayed",
        sort=WeatherSort.FORECAST,
        issued_s=issued_s,
        read_s=issued_s,
        from_s=issued_s,
        until_s=issued_s + HOURS_N * HOUR_S,
        rows_n=HOURS_N,
        members_n=1,
        attribution="",
    )


def _learned(off_k: Row, n: int) -> LocalShift | None:
    """Return what the lows so far move the coming night by."""
    figures = forecast_figures()
    if not off_k.size:
        return None
    own = night_off(off_k, figures)
    whole_k = max(float(np.hypot(own.shift_sd_k, own.scatter_k)), 0.5)
    return LocalShift(
        night_k=own.shift_k,
        usual_night_k=(0.0,) * 12,
        error_ratio=whole_k / figures.air_temperature_k.value,
        longitude_deg=-90.0,  # midnight of the sun six hours after six
        since_s=FIRST_S + n * DAY_S,
    )


def usual(measured: Series) -> Replayed:
    """Return the chance that the usual nights of the place give, day by day."""
    normals = by_day(
        normals_at(
            read_world(LIBRARY / "world"),
            latitude_deg=measured.latitude_deg,
            longitude_deg=measured.longitude_deg,
            elevation_m=measured.elevation_m,
        )
    )
    z = (FLOOR_C - normals.night_min_c) / normals.night_min_sd_k
    chance = np.array([NormalDist().cdf(float(each)) for each in z])
    years_n = len(measured.night_min_c)
    came = courses_c(measured)[0].min(axis=1) < FLOOR_C
    return Replayed(told_frac=np.tile(chance, years_n), came=came)


def together(parts: list[Replayed]) -> Replayed:
    """Return several replays as one."""
    return Replayed(
        told_frac=np.concatenate([part.told_frac for part in parts]),
        came=np.concatenate([part.came for part in parts]),
    )


def bins(found: Replayed) -> Iterator[Bin]:
    """Yield nights of like chances."""
    place = np.digitize(found.told_frac, BIN_EDGES[1:-1])
    for n in range(len(BIN_EDGES) - 1):
        inside = place == n
        if inside.any():
            yield Bin(
                told_frac=float(found.told_frac[inside].mean()),
                came_frac=float(found.came[inside].mean()),
                nights_n=int(inside.sum()),
            )


def brier(found: Replayed) -> float:
    """Return the mean square of what the chances were off."""
    return float(np.mean((found.told_frac - found.came) ** 2))


def is_open(nights_n: int) -> NDArray[np.bool_]:
    """Return which nights lie in April to October, when the question is open."""
    days = np.arange(nights_n) % DAYS_N
    return (days >= OPENS_N) & (days < CLOSES_N)


def spring_to_autumn(found: Replayed) -> Replayed:
    """Return the nights of April to October."""
    open_ = is_open(found.came.size)
    return replace(found, told_frac=found.told_frac[open_], came=found.came[open_])


def main() -> None:
    """Print the tables."""
    measured = unrounded(series("Seattle"))
    seeds = range(1, SEEDS_N + 1)
    cases = {
        "usual nights": [usual(measured)],
        "forecast": [replayed(measured, seed=s) for s in seeds],
        "forecast, place 2 K colder": [
            replayed(measured, always_k=2.0, seed=s) for s in seeds
        ],
        "the same, own thermometer": [
            replayed(measured, always_k=2.0, learns=True, seed=s) for s in seeds
        ],
    }
    lows = measured.night_min_c.reshape(-1)
    off_k = forecast_lows_c(measured, np.random.default_rng(1)) - lows
    print(f"a forecast's low is off by {off_k.std():.2f} K")
    for name, parts in cases.items():
        found = together([spring_to_autumn(part) for part in parts])
        cells = " | ".join(
            f"{b.told_frac:.0%} / {b.came_frac:.0%} ({b.nights_n // len(parts)})"
            for b in bins(found)
        )
        print(f"| {name} | {brier(found):.3f} | {cells} |")


if __name__ == "__main__":
    main()
