"""Shared: what trees teach about each other, as far as they are alike.

How fast a pot dries, the logarithm of demand over usable water, is taken as a
sum: something common to all, something of the bench, of the mix, and the
tree's own. What each tree's evidence says of it is a message: a value and how
sure it is. The messages of all trees together move every tree's belief, its
own message counting once.

How much is shared nobody knows beforehand. Four structures, from none at
all to strong, stand side by side and are weighed by how well they foresee the
messages. Source: docs/learning.md; the algebra is that of mixed models
(henderson1975).
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.weather import Row
from arbuscula.state.pots import Members
from arbuscula.state.trees import Trees, shares_of

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Structure:
    """One way in which trees may be alike: standard deviations of logarithms.

    What is left of a tree's own doubt is its own.
    """

    common_ln: float
    bench_ln: float
    mix_ln: float


STRUCTURES: Final = (
    Structure(common_ln=0.0, bench_ln=0.0, mix_ln=0.0),
    Structure(common_ln=0.10, bench_ln=0.10, mix_ln=0.05),
    Structure(common_ln=0.30, bench_ln=0.20, mix_ln=0.12),
    Structure(common_ln=0.40, bench_ln=0.30, mix_ln=0.12),
)
BELIEVED: Final = (0.4, 0.2, 0.2, 0.2)  # before any message; assumed
LEAST_OWN_LN: Final = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Messages:
    """What each tree's own evidence says of its dryness, off its prior.

    A tree without evidence has an infinite variance.
    """

    off_ln: Row
    variance: Row
    doubt_ln: Row  # each tree's own standard deviation before any evidence


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """What all evidence together says of each tree, off its prior."""

    off_ln: Row
    sd_ln: Row
    alike: Row  # how far each structure is believed
    odd: Row  # how many standard errors its message lies off the others' view


def message_of(prior_ln: Matrix, told_ln: Matrix, share: Matrix) -> Messages:
    """Return what evidence did to members: the message that does the same.

    Members first, trees second; `share` are the members' weights afterwards.
    """
    mean0, var0 = prior_ln.mean(axis=0), prior_ln.var(axis=0)
    mean1 = np.sum(share * told_ln, axis=0)
    var1 = np.sum(share * (told_ln - mean1) ** 2, axis=0)
    sure = 1 / np.maximum(var1, 1e-6) - 1 / var0
    taught = sure > 0.02 / var0  # less is the members' own noise
    variance = np.where(taught, 1 / np.where(taught, sure, 1.0), np.inf)
    off = np.where(taught, (mean1 - mean0) / (1 - np.minimum(var1 / var0, 0.98)), 0.0)
    return Messages(off_ln=off, variance=variance, doubt_ln=np.sqrt(var0))


def believed(
    messages: Messages, benches: Sequence[Hashable], mixes: Sequence[Hashable]
) -> Belief:
    """Return every tree's belief out of everybody's messages."""
    spread = factors_of(benches, mixes)
    each = [_under(s, messages, spread) for s in STRUCTURES]
    evidence = np.log(BELIEVED) + np.array([one.evidence for one in each])
    alike = np.exp(evidence - evidence.max())
    alike /= alike.sum()
    means, variances = (
        np.stack([getattr(o, n) for o in each]) for n in ("mean", "var")
    )
    mean = alike @ means
    variance = alike @ (variances + (means - mean) ** 2)
    odd = alike @ np.stack([one.odd for one in each])
    return Belief(off_ln=mean, sd_ln=np.sqrt(variance), alike=alike, odd=odd)


@dataclass(frozen=True, slots=True, kw_only=True)
class _One:
    mean: Row
    var: Row
    evidence: float
    odd: Row


def factors_of(
    benches: Sequence[Hashable], mixes: Sequence[Hashable]
) -> tuple[Matrix, Matrix, Matrix]:
    """Return who shares what: one column for all, one a bench, one a mix."""

    def columns(names: Sequence[Hashable]) -> Matrix:
        known = list(dict.fromkeys(names))
        return np.array([[name == k for k in known] for name in names], dtype=float)

    return np.ones((len(benches), 1)), columns(benches), columns(mixes)


def _under(
    s: Structure, messages: Messages, factors: tuple[Matrix, Matrix, Matrix]
) -> _One:
    """Return the belief under one structure; the factors are few, the trees many."""
    sd = (s.common_ln, s.bench_ln, s.mix_ln)
    Z = np.concatenate([f * d for f, d in zip(factors, sd, strict=True)], axis=1)
    alike_var = sum(d**2 for d in sd)
    own = np.maximum(messages.doubt_ln**2 - alike_var, LEAST_OWN_LN**2)
    told = np.isfinite(messages.variance)
    noise = own[told] + messages.variance[told]
    Zt, y = Z[told], messages.off_ln[told]
    inner = np.eye(Z.shape[1]) + Zt.T @ (Zt / noise[:, np.newaxis])
    shared_mean = Z @ np.linalg.solve(inner, Zt.T @ (y / noise))
    shared_var = np.einsum("ij,jk,ik->i", Z, np.linalg.inv(inner), Z)
    mean, var = shared_mean.copy(), shared_var + own
    gain, left = own[told] / noise, y - shared_mean[told]
    mean[told] += gain * left
    var[told] = own[told] * (1 - gain) + (1 - gain) ** 2 * shared_var[told]
    _, log_det = np.linalg.slogdet(inner)
    evidence = -0.5 * (np.sum(np.log(noise)) + log_det + y @ (left / noise))
    odd = np.zeros(len(Z))
    odd[told] = left / np.sqrt(np.maximum(noise - shared_var[told], 0.25 * noise))
    return _One(mean=mean, var=var, evidence=float(evidence), odd=odd)


def dryness_ln(members: Members) -> Matrix:
    """Return how fast each member dries: demand over usable water, as logarithm."""
    usable_ml = np.asarray(members.ball.capacity_ml - members.ball.stop_ml)
    return np.log(members.demand_ratio) - np.log(usable_ml)


def taught_by_others(
    trees: Trees,
    untaught: Members,
    benches: Sequence[Hashable],
    mixes: Sequence[Hashable],
) -> tuple[Trees, Belief | None]:
    """Return the trees as all evidence together has them, and that belief.

    A member that now asks for more has also taken more since it was last full.
    """
    share, told = shares_of(trees), dryness_ln(trees.members)
    messages = message_of(dryness_ln(untaught), told, share)
    if not np.isfinite(messages.variance).any():
        return trees, None
    belief = believed(messages, benches, mixes)
    mean = np.sum(share * told, axis=0)
    sd = np.sqrt(np.sum(share * (told - mean) ** 2, axis=0))
    wanted = dryness_ln(untaught).mean(axis=0) + belief.off_ln
    narrowed = np.minimum(belief.sd_ln / np.maximum(sd, 1e-6), 1.5)
    shift = np.exp(wanted + narrowed * (told - mean) - told)
    full_ml = np.asarray(trees.members.ball.capacity_ml)
    gone_ml = (full_ml - np.asarray(trees.water.water_ml)) * shift
    stop_ml = np.minimum(trees.members.ball.stop_ml, trees.water.water_ml)
    water_ml = np.maximum(full_ml - gone_ml, stop_ml)
    members = replace(trees.members, demand_ratio=trees.members.demand_ratio * shift)
    water = replace(trees.water, water_ml=water_ml)
    return replace(trees, members=members, water=water), belief
