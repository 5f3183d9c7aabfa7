"""The regressions that give the table its nights, its light and its dew.

A field set holds monthly arrays (cells, 12) and standing ones (cells, 1) under
the names of world_sources.cell_fields, and `latitude_deg`.
"""

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.weather.year import USUAL_MONTH_DAYS_N

COEFFICIENTS: Final = Path(__file__).with_name("world_models.toml")

Cells = NDArray[np.float64]
Fields = Mapping[str, Cells]


def coefficients() -> dict[str, Any]:
    """Return the coefficients, carried over; their stations are not ours to give."""
    return tomllib.loads(COEFFICIENTS.read_text(encoding="utf-8"))


def predicted(model: Mapping[str, list[float]], features: Cells) -> Cells:
    """Return what a regression on standardised features gives."""
    constant, *slopes = model["constant_and_slopes"]
    standard = (features - np.array(model["means"])) / np.array(model["scales"])
    return constant + standard @ np.array(slopes)


def stacked(*columns: Cells) -> Cells:
    """Return the features side by side, as the last axis."""
    return np.stack(np.broadcast_arrays(*columns), -1)


def _mean_and_swing(warmth_c: Cells) -> tuple[Cells, Cells]:
    mean = warmth_c.mean(-1, keepdims=True)
    return mean, np.ptp(warmth_c, axis=-1)[..., None]


def range_features(f: Fields) -> Cells:
    """Return the features of the logarithm of the daily range."""
    T, kt, wet, near = f["warmth_c"], f["clearness"], np.log1p(f["rain_mm"]), f["sea_1"]
    mean, swing = _mean_and_swing(T)
    turn = np.roll(T, -1, -1) - np.roll(T, 1, -1)
    height = np.log1p(np.maximum(f["elevation_m"], 0) / 500)
    frost = np.exp(-np.maximum(T, -10) / 10)
    sky = (kt, kt**2, wet)
    sea = (f["sea_0.25"], near, near**2)
    warmth = (T, T**2 / 10, frost, wet * T / 10)
    coast = (kt * near, f["sea_2.5"], f["sea_5"])
    year = (T - mean, (T - mean) * near, turn)
    return stacked(*sky, *sea, height, *warmth, f["daylight_h"], swing, *coast, *year)


def clearness_features(f: Fields) -> Cells:
    """Return the features of the logarithm of true over satellite clearness."""
    latitude = np.abs(f["latitude_deg"]) / 50
    wet = np.log1p(f["rain_mm"])
    return stacked(f["clearness"], latitude, wet, f["sea_1"], f["warmth_c"] / 10)


def island_features(f: Fields) -> Cells:
    """Return the features of clearness itself, where no satellite cell is near."""
    T, latitude, wet = f["warmth_c"], np.abs(f["latitude_deg"]), np.log1p(f["rain_mm"])
    mean, swing = _mean_and_swing(T)
    rain = (np.ones_like(T), wet, wet**2)
    place = (latitude, latitude**2 / 50, swing, f["elevation_m"] / 1000)
    return stacked(*rain, T, T**2 / 10, *place, wet * T, T - mean, wet * latitude / 10)


def dew_features(f: Fields, range_k: Cells) -> Cells:
    """Return the features of how far the dew point lies below the night's low."""
    warm = 0.0023 * (f["warmth_c"] + 17.8) * np.sqrt(np.maximum(range_k, 0.1))
    thirst_mm = warm * f["above"] * 0.408 * USUAL_MONTH_DAYS_N
    rain = f["rain_mm"]
    rain_mm = (rain + np.roll(rain, 1, -1) + np.roll(rain, -1, -1)) / 3
    dry = 1 - np.clip(rain_mm / np.maximum(thirst_mm, 1), 0, 1)
    return stacked(dry, range_k, f["warmth_c"] / 10, f["sea_1"])


def normals_of(f: Fields, models: Mapping[str, Any]) -> dict[str, Cells]:
    """Return the monthly normals of a field set, under the table's names."""
    range_k = np.clip(np.exp(predicted(models["range"], range_features(f))), 2.5, 22)
    dew_k = np.clip(predicted(models["dew"], dew_features(f, range_k)), -2.5, 15)
    truer = np.exp(predicted(models["clearness"], clearness_features(f)))
    return {
        "night_min_c": f["warmth_c"] - models["mean_over_min_frac"] * range_k,
        "range_k": range_k,
        "dew_below_min_k": dew_k,
        "clearness_frac": np.clip(f["clearness"] * truer, 0.08, 0.78),
    }
