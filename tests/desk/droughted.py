"""Made pots that are kept short of water, in made weather. Nothing was measured.

Their leaves ask by light and dry air, and their soil gives by laws that the
program does not hold: a logistic, a bent line, or as much as it can supply.
"""

import csv
from datetime import UTC, datetime, timedelta

import numpy as np

START = datetime(2026, 6, 1, tzinfo=UTC)
DAYS_N = 14
LAWS = {
    "logistic": lambda asked_ml, left: asked_ml / (1 + np.exp(-10 * (left - 0.4))),
    "bent": lambda asked_ml, left: asked_ml * min(1.0, max(left, 0) / 0.6) ** 1.4,
    "supplied": lambda asked_ml, left: min(asked_ml, 70 * max(left, 0) ** 1.5),
}
CASE = """schema = "arbuscula.drydown-case/1"
species = "ficus-benjamina"
forecast_from = {now}
horizon_h = 72
pot = {{ shape = "round", diameter_mm = 240, depth_mm = 220, wall = "plastic" }}
mix = {{ peat = 1 }}
plant = {{ leaf_area_m2 = 0.3 }}
files = {{ weather = "weather.csv", weights = "weights.csv" }}
"""


def made_weather(rng):
    """Return hours of a house whose days differ, by column."""
    hour = np.arange(24 * DAYS_N)
    clear = np.clip(rng.normal(0.7, 0.15, DAYS_N), 0.25, 1)[hour // 24]
    warm = rng.normal(22, 1.5, DAYS_N)[hour // 24]
    day = np.maximum(np.sin(np.pi * (hour % 24 - 5) / 15), 0)
    warmth_c = warm + 5 * clear * day
    return {
        "air_temperature_c": warmth_c.round(2),
        "relative_humidity_frac": np.clip(
            0.85 - 0.025 * (warmth_c - 16), 0.3, 0.95
        ).round(3),
        "wind_speed_2m_m_s": np.full(hour.size, 0.4),
        "rain_mm": np.zeros(hour.size),
        "ppfd_umol_m2_s": (1000 * clear * day).round(1),
    }


def masses_g(weather, law, rng):
    """Return hourly masses of a pot that gets a part of what it asks for."""
    warmth_c = weather["air_temperature_c"]
    dry_kpa = 0.61 * np.exp(17.27 * warmth_c / (warmth_c + 237.3))
    dry_kpa = dry_kpa * (1 - weather["relative_humidity_frac"])
    light = weather["ppfd_umol_m2_s"]
    asked_ml = (0.06 + light / (light + 300)) * dry_kpa
    asked_ml = asked_ml * 450 * DAYS_N / asked_ml.sum()
    asked_ml = asked_ml * np.exp(rng.normal(0, 0.08, DAYS_N)).repeat(24)
    share, usable_ml, stop_ml = rng.uniform(0.35, 0.6), 2000, 1200
    held_ml, masses = stop_ml + 0.9 * usable_ml, []
    for hour, asked in enumerate(asked_ml):
        if hour % 24 == 6 and hour > 72:
            held_ml = min(held_ml + share * 450, stop_ml + usable_ml)
        masses.append(2500 + held_ml)
        held_ml -= LAWS[law](asked, (held_ml - stop_ml) / usable_ml)
    return np.array(masses) + rng.normal(0, 3, len(masses))


def made_case(folder, law, seed, from_d):
    """Write one case; its waterings are left for the rises to tell."""
    rng = np.random.default_rng(seed)
    weather = made_weather(rng)
    times = [START + timedelta(hours=n) for n in range(24 * DAYS_N)]
    masses = {"mass_g": masses_g(weather, law, rng).round(1)}
    for name, columns in (("weather", weather), ("weights", masses)):
        with (folder / f"{name}.csv").open("w", newline="") as file:
            rows = csv.writer(file)
            rows.writerow(["time", *columns])
            rows.writerows(
                [at.isoformat(), *row]
                for at, *row in zip(times, *columns.values(), strict=True)
            )
    now = START + timedelta(days=from_d, hours=8)
    (folder / "case.toml").write_text(CASE.format(now=now.isoformat()))
    return folder / "case.toml"
