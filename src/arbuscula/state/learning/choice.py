"""Choice: whose check would teach most, about itself and about the others.

A check lowers the doubt about its own tree by what its answer may still change,
and about the others as far as they are alike. The trees are chosen one after
the other, since a second check on one bench teaches less than the first.
Source: the expected fall of variance of a Gaussian (docs/learning.md).
"""

from collections.abc import Hashable, Sequence
from typing import Final

import numpy as np

from arbuscula.kinds.checks import Feel
from arbuscula.kinds.events import FINDINGS, How
from arbuscula.kinds.weather import Row
from arbuscula.state.ensemble import Grid
from arbuscula.state.learning.checks import found_ln
from arbuscula.state.learning.shared import STRUCTURES, factors_of

CANDIDATES_N: Final = 300


def check_first(
    dryness_ln: Grid,
    share: Grid,
    gone_frac: Grid,
    stakes: Row,
    feel: Feel,
    *,
    alike: Row,
    benches: Sequence[Hashable],
    mixes: Sequence[Hashable],
    most_n: int,
) -> list[int]:
    """Return the places of the trees to lift first.

    `stakes` say what a wrong call at each tree costs; `alike` how far each
    structure is believed.
    """
    some = np.argsort(-stakes, kind="stable")[:CANDIDATES_N]
    own = _variance(dryness_ln[:, some], share[:, some])
    left = _left_after_lift(
        dryness_ln[:, some], share[:, some], gone_frac[:, some], feel
    )
    told_frac = np.clip(1 - left / np.maximum(own, 1e-9), 0, 1)
    groups = [[names[place] for place in some] for names in (benches, mixes)]
    covariance = _covariance(own, alike, *groups)
    chosen: list[int] = []
    for _ in range(min(most_n, some.size)):
        spread = np.diag(covariance)
        gain = told_frac * (covariance**2 @ stakes[some]) / np.maximum(spread, 1e-9)
        gain[chosen] = -1
        best = int(np.argmax(gain))
        chosen.append(best)
        column = covariance[:, best]
        covariance = (
            covariance - told_frac[best] * np.outer(column, column) / column[best]
        )
    return [int(some[place]) for place in chosen]


def _variance(members: Grid, share: Grid) -> Row:
    mean = np.sum(share * members, axis=0)
    return np.sum(share * (members - mean) ** 2, axis=0)


def _left_after_lift(dryness: Grid, share: Grid, gone: Grid, feel: Feel) -> Row:
    """Return the variance that is left on average after lifting each pot."""
    left = np.zeros(dryness.shape[1])
    for found in FINDINGS[How.LIFTED]:
        likely = share * np.exp(found_ln(gone, found, feel))
        chance = likely.sum(axis=0)
        left += chance * _variance(dryness, likely / np.maximum(chance, 1e-12))
    return left


def _covariance(
    own: Row,
    alike: Row,
    benches: Sequence[Hashable],
    mixes: Sequence[Hashable],
) -> Grid:
    """Return how trees' doubts go together, mixed over the structures."""
    factors = factors_of(benches, mixes)
    shared = np.zeros((own.size, own.size))
    for weight, s in zip(alike, STRUCTURES, strict=True):
        for factor, sd in zip(
            factors, (s.common_ln, s.bench_ln, s.mix_ln), strict=True
        ):
            shared += weight * sd**2 * (factor @ factor.T)
    scale = np.sqrt(np.minimum(1, 0.9 * own / np.maximum(np.diag(shared), 1e-9)))
    shared = shared * np.outer(scale, scale)
    np.fill_diagonal(shared, own)
    return shared
