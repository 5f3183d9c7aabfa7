"""Light: how much brighter or darker a bench is than was worked out, by a meter."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from arbuscula.kinds.exposure import LightFigures
from arbuscula.kinds.values import Spread, Value
from arbuscula.kinds.weather import Row

TENTH_SD: Final = 1.2816  # from the middle to one in ten


@dataclass(frozen=True, slots=True, kw_only=True)
class LightSeen:
    """One reading at the leaf, and what the bench was said to have just then."""

    read_umol_m2_s: float
    told_umol_m2_s: Row  # of daylight, by member of the weather
    lamp_umol_m2_s: float
    factor_ln: float = 0.0  # how unsure a lux is worth what it was taken for


def light_ratio(
    seen: Sequence[LightSeen], usual: Value, figures: LightFigures
) -> Spread | None:
    """Return the light read over the light told; None where nothing can be compared.

    In logarithms all errors are taken as normal. Before any reading the ratio is
    as doubtful as what was said of the bench makes it; after many it is still in
    doubt as much as a meter is for other seasons.
    """
    dark = figures.too_dark_umol_m2_s.value
    daylight = [one.read_umol_m2_s - one.lamp_umol_m2_s for one in seen]
    some = [
        _told_ln(one, umol, figures)
        for one, umol in zip(seen, daylight, strict=True)
        if umol > 0 and float(np.median(one.told_umol_m2_s)) >= dark
    ]
    if not some:
        return None
    middle_ln, off_ln = np.array([(0.0, sd_ln(usual)), *some]).T
    weight = 1 / off_ln**2
    ln = float(np.sum(weight * middle_ln) / np.sum(weight))
    off = TENTH_SD * np.hypot(np.sum(weight) ** -0.5, sd_ln(figures.metered_ratio))
    low, middle, high = (float(np.exp(n)) for n in (ln - off, ln, ln + off))
    return Spread(p10=low, p50=middle, p90=high)


def _told_ln(
    seen: LightSeen, daylight_umol_m2_s: float, figures: LightFigures
) -> tuple[float, float]:
    """Return the logarithm of one reading over what was told, and its error."""
    told_ln = np.log(np.maximum(seen.told_umol_m2_s, figures.too_dark_umol_m2_s.value))
    own_ln = np.hypot(figures.meter_ln.value, figures.moment_ln.value)
    own_ln = np.hypot(own_ln, seen.factor_ln)
    ratio_ln = np.log(daylight_umol_m2_s) - np.median(told_ln)
    return float(ratio_ln), float(np.hypot(own_ln, np.std(told_ln)))


def sd_ln(ratio: Value) -> float:
    """Return how unsure a ratio is, one standard deviation of its logarithm."""
    return float(np.log(ratio.high / ratio.low) / (2 * TENTH_SD))
