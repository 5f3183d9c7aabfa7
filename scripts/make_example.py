"""Make the invented tables of examples/bench-fig: `python scripts/make_example.py`.

Three weeks of made weather, and a made fig whose demand, size and days differ
from what the forecast takes for likely. Nothing here was measured.
"""

import csv
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from arbuscula.catalog.library import read_library
from arbuscula.kinds.case import DrydownCase
from arbuscula.kinds.water import PotWater
from arbuscula.microclimate.open_air import air_at_crown
from arbuscula.science.sun import extraterrestrial_w_m2, sun_position
from arbuscula.state.pots import PottedTree, members_of, scaled, wall_cm2
from arbuscula.state.water import bounds_between, course_of, forcing_of, steps_of
from arbuscula.strict.kinds import kind_from_toml
from arbuscula.weather.table import weather_from_table

ROOT = Path(__file__).parents[1]
FOLDER = ROOT / "examples/bench-fig"
START = datetime.fromisoformat("2026-05-22T00:00:00+02:00")
DAYS_N = 20
TRUE_DEMAND, TRUE_USABLE, DAY_ERROR, SCALE_G = 1.25, 0.93, 0.10, 3.0


def main() -> None:
    """Write weather, waterings and weights."""
    rng = np.random.default_rng(2026)
    hours = [START + timedelta(hours=h) for h in range(24 * DAYS_N)]
    write_weather(hours, rng)
    write_pot(hours, rng)


def write_weather(hours: list[datetime], rng: np.random.Generator) -> None:
    """Write a warm spring with two dull days and one shower."""
    at_s = np.array([hour.timestamp() for hour in hours])
    day = np.arange(at_s.size) // 24
    clear = np.clip(rng.beta(5, 2, DAYS_N), 0.15, 0.95)
    clear[[4, 12]] = 0.2, 0.3
    up = sun_position(unix_s=at_s + 1800, latitude_deg=45.7, longitude_deg=13.8)
    above = extraterrestrial_w_m2(unix_s=at_s + 1800, elevation_deg=up.elevation_deg)
    warm = 17 + np.cumsum(rng.normal(0, 1.2, DAYS_N)) * 0.5 + 5 * (clear - 0.5)
    wave = np.sin(2 * np.pi * (np.arange(at_s.size) % 24 - 9) / 24)
    air = warm[day] + (2 + 5 * clear[day]) * wave
    humid = np.clip(0.85 - 0.28 * clear[day] - 0.17 * wave, 0.25, 0.98)
    wind = np.clip(1.4 + 1.1 * wave + rng.normal(0, 0.3, at_s.size), 0.2, None)
    rain = np.where((day == 12) & np.isin(np.arange(at_s.size) % 24, (14, 15)), 1.6, 0)
    heads = ["air_temperature_c", "relative_humidity_frac", "wind_speed_2m_m_s"]
    columns = [air.round(1), humid.round(2), wind.round(1), rain.round(1)]
    shortwave = (0.76 * clear[day] * above).round()
    write(
        "weather.csv", [*heads, "rain_mm", "shortwave_w_m2"], hours, *columns, shortwave
    )


def write_pot(hours: list[datetime], rng: np.random.Generator) -> None:
    """Write what the grower's can gave and what the scale showed."""
    library = read_library(ROOT / "src/arbuscula/library")
    case = kind_from_toml((FOLDER / "case.toml").read_text(), DrydownCase, name="case")
    rows, _ = weather_from_table(FOLDER / "weather.csv")
    tree = PottedTree(
        key="truth",
        species=library.species[case.species],
        pot=case.pot,
        mix=case.mix,
        plant=case.plant,
    )
    forcing = forcing_of(
        tree, rows, air_at_crown(rows, case.yard, library.demand.ball), library
    )
    soaked = [h for h in hours if h.hour == 7]
    given = {h.timestamp(): np.inf for h in soaked}
    bounds = bounds_between(rows.from_s[0], rows.until_s[-1], np.array([*given]))
    members = members_of(tree, library)
    one = np.ones_like(members.dry_g)
    ball = replace(members.ball, stress_below_frac=0.35 * one)
    members = replace(
        members,
        ball=_middle(ball, TRUE_USABLE),
        demand_ratio=TRUE_DEMAND * one,
        surface_ratio=0.9 * one,
        dry_g=2750.0 * one,
    )
    noise = np.exp(rng.normal(0, DAY_ERROR, DAYS_N))[np.arange(bounds.size - 1) // 24]
    full = members.ball.capacity_ml
    start = PotWater(
        water_ml=0.8 * full, surface_depletion_mm=2 * one, canopy_ml=0 * one
    )
    course = course_of(
        members,
        steps_of(forcing, bounds, given),
        start,
        wall_cm2=wall_cm2(tree),
        day_ratio=noise[np.newaxis, :],
    )
    middle = int(np.argsort(course.lost_ml.sum(axis=1))[one.size // 2])
    mass = 2750 + (course.water_ml + course.canopy_ml)[middle]
    seen = [n for n, h in enumerate(hours) if h.hour in (7, 8, 19)]
    told = (mass[seen] + rng.normal(0, SCALE_G, len(seen))).round()
    write("weights.csv", ["mass_g"], [hours[n] for n in seen], told)
    write("waterings.csv", ["given_ml"], soaked, [""] * len(soaked))


def _middle(ball, ratio):  # noqa: ANN001, ANN202
    middle = {
        name: np.full_like(ball.stress_below_frac, np.median(getattr(ball, name)))
        for name in ("capacity_ml", "stop_ml")
    }
    return scaled(replace(ball, **middle), ratio)


def write(name: str, heads: list[str], hours: list[datetime], *columns) -> None:  # noqa: ANN002
    """Write one table."""
    with (FOLDER / name).open("w", encoding="utf-8", newline="") as lines:
        table = csv.writer(lines, lineterminator="\n")
        table.writerow(["time", *heads])
        for hour, *cells in zip(hours, *columns, strict=True):
            table.writerow([hour.isoformat(timespec="minutes"), *cells])


if __name__ == "__main__":
    main()
