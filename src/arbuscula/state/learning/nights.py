"""Nights: how far a place's own nights are off those that were told for it."""

import numpy as np

from arbuscula.kinds.forecast import ForecastFigures, NightOff
from arbuscula.kinds.weather import Row


def night_off(
    off_k: Row, figures: ForecastFigures, *, before: NightOff | None = None
) -> NightOff:
    """Return what nights teach of a place: an offset with its spread.

    `off_k` are readings less what had been told the evening before. Without a
    word before, the offset is taken to be nought, give or take the usual; nights
    hang together, so that some of them count as fewer.

    Source: own computation; normal prior and likelihood, scatter pooled.
    """
    known = off_k[np.isfinite(off_k) & (np.abs(off_k) <= figures.odd_k.value)]
    prior = before or nothing_learned(figures)
    if not known.size:
        return prior
    scatter_k = _scatter_k(known, prior, figures)
    alike = figures.alike_frac.value
    worth_n = max(known.size * (1 - alike) / (1 + alike), 1.0)
    sure, told = 1 / prior.shift_sd_k**2, worth_n / scatter_k**2
    shift_k = (sure * prior.shift_k + told * known.mean()) / (sure + told)
    return NightOff(
        shift_k=float(shift_k),
        shift_sd_k=float((sure + told) ** -0.5),
        scatter_k=float(scatter_k),
        nights_n=int(known.size),
    )


def nothing_learned(figures: ForecastFigures) -> NightOff:
    """Return what is taken for granted of a place that nobody has measured."""
    whole_k = figures.air_temperature_k.value
    lasting_frac = figures.lasting_frac.value
    return NightOff(
        shift_k=0.0,
        shift_sd_k=figures.local_k.value,
        scatter_k=float(whole_k * np.sqrt(1 - lasting_frac)),
        nights_n=0,
    )


def _scatter_k(known_k: Row, prior: NightOff, figures: ForecastFigures) -> float:
    """Return the scatter of single nights, the assumed one counted as some nights."""
    assumed_n = figures.nights_n.value
    squares = assumed_n * prior.scatter_k**2 + np.sum((known_k - known_k.mean()) ** 2)
    return float(np.sqrt(squares / (assumed_n + known_k.size - 1)))
