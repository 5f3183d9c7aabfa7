"""Print how generated weather compares with measured series, as a table.

    python -m scripts.validate_generator

`own` is fed with a series' own monthly normals: it tests the generator. `table`
is fed with the shipped normals: it tests the whole chain. docs/world.md shows
what this prints. Needs the packages named there.
"""

from datetime import date, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.world import Normals
from arbuscula.weather.generator import daily_weather
from arbuscula.weather.normals import by_day, normals_at
from arbuscula.weather.world import World, read_world
from arbuscula.weather.year import DAYS_N
from scripts.daily_series import (
    STATIONS,
    cold_nights_by_week,
    departures,
    dry_spells_d,
    first_cold_night,
    lag_one,
    last_cold_night,
    longest_dry_spell_d,
    monthly_sd,
    normals_of,
    series,
)

WORLD = Path(__file__).parents[1] / "src" / "arbuscula" / "library" / "world"
MEMBERS_N = 400

Rows = NDArray[np.float64]


def day(number: float) -> str:
    """Return a day of the year as a date without a year."""
    if not 1 <= number <= DAYS_N:
        return "none"
    when = date(2025, 1, 1) + timedelta(days=round(number) - 1)
    return f"{when:%d %b}"


def spell(x: float, digits: int = 2) -> str:
    """Return a number in as many digits."""
    return f"{x:.{digits}f}"


def told(low: Rows, high: Rows, rain: Rows, weeks: Rows) -> dict[str, str]:
    """Return what is compared, for one set of years."""
    spring, autumn = last_cold_night(low), first_cold_night(low)
    p10, p50, p90 = np.quantile(spring, [0.1, 0.5, 0.9])
    return {
        "spread of nights, K": spell(monthly_sd(low).mean()),
        "spread of days, K": spell(monthly_sd(high).mean()),
        "spread of the daily range, K": spell(np.nanstd(departures(high - low))),
        "left next day, nights": spell(lag_one(low)),
        "left next day, days": spell(lag_one(high)),
        "wet days": spell(np.nanmean(rain >= 1), 3),
        "dry spell, d": spell(dry_spells_d(rain).mean(), 1),
        "longest of the year, d": spell(longest_dry_spell_d(rain), 0),
        "rain of the year, sd, mm": spell(np.std(np.nansum(rain, axis=1)), 0),
        "last spring night < 10 degC": day(p50),
        "its p10 to p90": f"{day(p10)} to {day(p90)}",
        "first after 31 July": day(np.median(autumn)),
        "nights < 10 degC a week, off by": spell(
            7 * np.abs(cold_nights_by_week(low) - weeks).mean()
        ),
    }


def generated(normals: Normals, world: World) -> tuple[Rows, Rows, Rows]:
    """Return a year of 400 members."""
    weather = daily_weather(
        by_day(normals),
        world.figures.generator,
        rng=np.random.default_rng(1),
        members_n=MEMBERS_N,
        first=date(2025, 1, 1),
        days_n=365,
    )
    return weather.night_min_c, weather.day_max_c, weather.rain_mm


def compared(name: str, world: World) -> dict[str, str]:
    """Return `measured / own / table` for all that is compared at a station."""
    measured = series(name)
    table = normals_at(
        world,
        latitude_deg=measured.latitude_deg,
        longitude_deg=measured.longitude_deg,
        elevation_m=measured.elevation_m,
    )
    weeks = cold_nights_by_week(measured.night_min_c)
    seen = measured.night_min_c, measured.day_max_c, measured.rain_mm
    own = generated(normals_of(measured, table), world)
    columns = [told(*years, weeks) for years in (seen, own, generated(table, world))]
    rows = {row: " / ".join(column[row] for column in columns) for row in columns[0]}
    return {"whole years": f"{len(measured.rain_mm)}"} | rows


def main() -> None:
    """Print one table for all stations."""
    world = read_world(WORLD)
    columns = [compared(name, world) for name in STATIONS]
    print("| measured / own / table |", " | ".join(STATIONS), "|")
    print("|---" * (1 + len(STATIONS)) + "|")
    for row in columns[0]:
        print(f"| {row} |", " | ".join(column[row] for column in columns), "|")


if __name__ == "__main__":
    main()
