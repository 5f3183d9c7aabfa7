"""Rules about silence: a sensor or a line that should have spoken by now."""

from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from arbuscula.kinds.alarm import AlarmFigures
from arbuscula.units import HOUR_S


def silent_h(at_s: Sequence[float], now_s: float, figures: AlarmFigures) -> float:
    """Return how long a voice has been silent that used to speak; else nought.

    Its usual pause is the middle one of those it has made.
    """
    told_s = sorted(set(at_s))
    if len(told_s) < figures.silent_readings_n.value:
        return 0.0
    pauses_s = [later - before for before, later in pairwise(told_s)]
    borne_s = max(
        figures.silent_ratio.value * median(pauses_s),
        figures.silent_least_h.value * HOUR_S,
    )
    since_s = now_s - told_s[-1]
    return since_s / HOUR_S if since_s > borne_s else 0.0
