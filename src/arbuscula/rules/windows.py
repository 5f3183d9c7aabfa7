"""Rules about windows: on which days of a year season, nights and light allow a job."""

from datetime import date, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.species import Warmth
from arbuscula.kinds.technique import CareFigures, Phase, Terms
from arbuscula.state.years import YEAR_D, TreeYear, days_until, place_of

TENTHS: Final = (0.1, 0.5, 0.9)
PLACES: Final = {phase: n for n, phase in enumerate(Phase)}


def open_days(
    terms: Terms, year: TreeYear, warmth: Warmth, care: CareFigures
) -> NDArray[np.bool_]:
    """Return on which days of each course a job's season is there."""
    opens = np.ones(year.night_c.shape, dtype=bool)
    if terms.never:
        return ~opens
    if terms.phases:
        fits = year.shares[..., [PLACES[p] for p in terms.phases]].sum(axis=-1)
        opens &= fits >= care.sure_frac.value
    lines = (
        (terms.night_c, year.night_c),
        (terms.light_mol_m2_d, year.light_mol_m2_d),
        (terms.root_c, year.mean_c),
        (terms.growth_left_frac, year.left_frac),
        (terms.frost_free_d, year.frost_free_d),
    )
    for line, found in lines:
        if line is not None:
            opens &= found >= line.value
    if "nights above its floor" in terms.needs:
        opens &= year.night_c >= warmth.warn_below_c.value
    return np.asarray(opens)


def next_dates(opens: NDArray[np.bool_], since: date) -> tuple[date | None, ...]:
    """Return when the season opens next: in one, five and nine courses of ten."""
    ahead_d = days_until(opens)[..., place_of(since)]
    ahead_d = np.where(opens.any(axis=-1), ahead_d, np.inf)
    tenths = np.quantile(ahead_d, TENTHS, method="inverted_cdf")
    return tuple(since + timedelta(days=int(d)) if d < YEAR_D else None for d in tenths)
