"""Score: the forecast of losses beside two that need no model."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from arbuscula.kinds.case import Weights
from arbuscula.kinds.weather import Row
from arbuscula.state.scale import lost_between_ml
from arbuscula.units import (
    DAY_S,
    HOUR_S,
)

HORIZONS_H: Final = (24, 72, 120)


@dataclass(frozen=True, slots=True, kw_only=True)
class HorizonScore:
    """How far three forecasts of the water lost were off, as shares of it.

    None where the weights do not reach, or nothing was lost.
    """

    horizon_h: int
    lost_ml: float | None
    model_error_frac: float | None
    yesterday_error_frac: float | None
    mean_error_frac: float | None


def naive_losses_ml_d(
    weights: Weights, summed_ml: Row, now_s: float
) -> tuple[float | None, float | None]:
    """Return the loss of the last whole day, and the mean of all whole days."""
    days_ml: list[float] = []
    while True:
        until_s = now_s - len(days_ml) * DAY_S
        lost_ml = lost_between_ml(weights, summed_ml, until_s - DAY_S, until_s)
        if lost_ml is None:
            break
        days_ml.append(lost_ml)
    return (days_ml[0], float(np.mean(days_ml))) if days_ml else (None, None)


def horizon_score(
    horizon_h: int,
    *,
    now_s: float,
    weights: Weights,
    summed_ml: Row,
    model_ml: float | None,
) -> HorizonScore:
    """Return the errors at one horizon."""
    until_s = now_s + horizon_h * HOUR_S
    lost_ml = lost_between_ml(weights, summed_ml, now_s, until_s)
    yesterday_ml_d, mean_ml_d = naive_losses_ml_d(weights, summed_ml, now_s)
    days = horizon_h / 24

    def error_frac(forecast_ml: float | None) -> float | None:
        if forecast_ml is None or lost_ml is None or lost_ml <= 0:
            return None
        return abs(forecast_ml - lost_ml) / lost_ml

    return HorizonScore(
        horizon_h=horizon_h,
        lost_ml=lost_ml,
        model_error_frac=error_frac(model_ml),
        yesterday_error_frac=error_frac(_times(yesterday_ml_d, days)),
        mean_error_frac=error_frac(_times(mean_ml_d, days)),
    )


def _times(ml_d: float | None, days: float) -> float | None:
    return None if ml_d is None else ml_d * days
