"""Phase: how far a tree has come in its growth, by warmth, nights and light.

A year is round: its first day follows its last. Growth is counted in warmth above
the species' base times days, less where nights are cool or light is short.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from arbuscula.kinds.technique import CareFigures
from arbuscula.kinds.values import Num
from arbuscula.kinds.world import Curve

REST, WAKING, FLUSH, HARDENED, SLOWING = range(5)  # as places of the last axis
PHASES_N: Final = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthClock:
    """Growth behind and ahead of each day, until the rests on either side.

    Infinity: no rest comes all year.
    """

    since_c_d: Curve
    left_c_d: Curve
    year_c_d: Curve  # of the whole year, one for each member


def growing_warmth_c(*, mean_c: Num, base_c: float, warmest_c: float) -> Num:
    """Return the warmth that makes it grow: above the base, up to the warmest.

    Shape: like the mean.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: daily means, smoothed or not.
    Source: arbuscula; bases and ceilings of potted figs are assumed.
    """
    return np.clip(mean_c, base_c, warmest_c) - base_c


def night_share_frac(
    *, night_c: Num, stops_c: float, full_c: float, least_frac: float
) -> Num:
    """Return the share of growth that nights of this warmth leave.

    Shape: like the nights.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: tropical species; nights at the place where it stands.
    Source: nightregime; nothing at 12 and all at 18 degC for one clone.
    Departs: a straight line between the two, and a remnant below them.
    """
    share = (np.asarray(night_c) - stops_c) / (full_c - stops_c)
    return np.clip(share, least_frac, 1.0)


def light_share_frac(
    *, light_mol_m2_d: Num, hold_mol_m2_d: float, enough_mol_m2_d: float
) -> Num:
    """Return the share of growth that this light allows.

    Shape: like the light.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: daily light at the leaves.
    Source: arbuscula; between holding its own and real growth a straight line.
    """
    over = np.asarray(light_mol_m2_d) - hold_mol_m2_d
    return np.clip(over / (enough_mol_m2_d - hold_mol_m2_d), 0.0, 1.0)


def chill_h(air_temperature_c: Curve, *, below_c: float) -> Curve:
    """Return the hours at or below a line of cold.

    Shape: hours are the last axis.
    Errors: none raised; a gap (NaN) is no cold hour.
    Holds for: hourly air; hours of hard frost count too.
    Source: rutgers528; counted.
    """
    cold = np.asarray(air_temperature_c) <= below_c
    return np.asarray(cold.sum(axis=-1), np.float64)


def growth_clock(rate_c: Curve, *, idle_frac: float) -> GrowthClock:
    """Return how much growth lies behind and ahead of each day of a round year.

    Days on which it grows at less than a share of the fastest day are rest.

    Shape: days are the last axis.
    Errors: none raised; a gap (NaN) counts as rest.
    Holds for: rates that are not below nil.
    Source: arbuscula; counted.
    """
    rate = np.nan_to_num(rate_c)
    idle = rate <= idle_frac * rate.max(axis=-1, keepdims=True)
    ahead = _behind(rate[..., ::-1], idle[..., ::-1])[..., ::-1]
    return GrowthClock(
        since_c_d=_behind(rate, idle),
        left_c_d=ahead,
        year_c_d=rate.sum(axis=-1),
    )


def _behind(rate: Curve, idle: Curve) -> Curve:
    """Return the sum since the last idle day; two years are told to close the ring."""
    twice = np.concatenate([np.where(idle, 0.0, rate)] * 2, axis=-1)
    rests = np.concatenate([idle, idle], axis=-1).astype(bool)
    summed = np.cumsum(twice, axis=-1)
    at_rest = np.maximum.accumulate(np.where(rests, summed, -np.inf), axis=-1)
    return (summed - at_rest)[..., rate.shape[-1] :]


def phase_shares_frac(clock: GrowthClock, figures: CareFigures) -> Curve:
    """Return how likely each phase is: rest, waking, flush, hardened, slowing.

    After a rest the first flush is told by growth alone; the later ones follow
    each other unseen, and only their shares of the time are known.

    Shape: the clock's days, and the five phases as one axis more.
    Errors: none raised.
    Holds for: trees that nobody has looked at; a flush that is seen counts more.
    Source: arbuscula; no trial of a potted tree is behind it.
    """
    since, left, year = clock.since_c_d, clock.left_c_d, clock.year_c_d[..., None]
    ends = np.cumsum(
        [
            np.minimum(figures.waking_c_d.value, figures.waking_frac.value * year),
            np.minimum(figures.flush_c_d.value, figures.flush_frac.value * year),
            np.minimum(figures.hardened_c_d.value, figures.hardened_frac.value * year),
        ],
        axis=0,
    )
    rests = since <= 0
    slows = ~rests & (left <= figures.slowing_frac.value * year) & (left < since)
    grows = ~rests & ~slows
    first = [
        grows & (since <= ends[0]),
        grows & (since > ends[0]) & (since <= ends[1]),
        grows & (since > ends[1]) & (since <= ends[2]),
    ]
    later = (grows & (since > ends[2])).astype(np.float64)
    waking, flush = figures.later_waking_frac.value, figures.later_flush_frac.value
    shares = (
        rests,
        first[0] + later * waking,
        first[1] + later * flush,
        first[2] + later * (1 - waking - flush),
        slows,
    )
    return np.stack([np.asarray(s, np.float64) for s in shares], axis=-1)


def seen_shares_frac(
    after_c_d: float, *, is_hard: bool, year_c_d: float, figures: CareFigures
) -> Curve:
    """Return the phases so much growth after buds or a hard flush were seen.

    Shape: five shares.
    Errors: none raised.
    Holds for: a tree whose light, nights and roots still let it grow.
    Source: arbuscula; the same spans of growth as without an eye on it.
    """
    spans = [
        min(figures.waking_c_d.value, figures.waking_frac.value * year_c_d),
        min(figures.flush_c_d.value, figures.flush_frac.value * year_c_d),
        min(figures.hardened_c_d.value, figures.hardened_frac.value * year_c_d),
    ]
    order = (HARDENED,) if is_hard else (WAKING, FLUSH, HARDENED)
    shares = np.zeros(PHASES_N)
    for phase in order:
        after_c_d -= spans[phase - WAKING]
        if after_c_d <= 0:
            shares[phase] = 1.0
            return shares
    waking, flush = figures.later_waking_frac.value, figures.later_flush_frac.value
    shares[[WAKING, FLUSH, HARDENED]] = waking, flush, 1 - waking - flush
    return shares
