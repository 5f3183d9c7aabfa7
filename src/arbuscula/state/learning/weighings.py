"""Weighings: what the scale teaches of demand, capacity and the dry mass.

An ensemble smoother with multiple data assimilation (emerick2013): the same
weighings used four times, each time with their errors widened to match. Each
member runs from weighing to weighing; at each it is told apart by how far it
missed the mass, then set right. The error of a miss doubles with each
half-life of its age: a calibration that never forgets loses to "as last time".

What the smoother cannot turn differs from member to member: how leaves answer the
light, how dry the surface was. So at the end each member's whole demand is brought
to what was lost (randomised maximum likelihood, oliver1996).
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from arbuscula.kinds.case import Waterings, Weights
from arbuscula.kinds.library import Unknowns
from arbuscula.kinds.water import PotWater
from arbuscula.kinds.weather import Row
from arbuscula.state.ensemble import evenly, generator_of, normals
from arbuscula.state.pots import Members, scaled
from arbuscula.state.water import (
    Course,
    Forcing,
    Grid,
    bounds_between,
    course_of,
    steps_of,
    unknown_start,
)
from arbuscula.units import (
    DAY_S,
    HOUR_S,
)

PASSES_N: Final = 4
BETWEEN_WEIGHINGS_S: Final = 20 * HOUR_S  # nearer ones say the same again
HALF_LIVES_N: Final = 7  # older evidence weighs less than one in a hundred
ROUNDS_N: Final = 2
LEAST_LOST_ML: Final = 0.01
RATIOS: Final = (0.25, 4.0)  # in one round


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """The weighings chosen to learn from, and how far each may be missed."""

    at_s: Row
    mass_g: Row
    error_g: Row  # of each but the first
    scale_g: Row  # what the scale alone may be off, in what was lost between two
    day_frac: Row  # what the days may be off, of what was lost


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """The members after learning, and what they hold now."""

    members: Members
    water: PotWater


def evidence_of(
    weights: Weights,
    waterings: Waterings,
    *,
    now_s: float,
    noise_g: float,
    usable_ml: float,
    unknown: Unknowns,
) -> Evidence:
    """Return about one weighing a day, and those beside each watering."""
    half_life_s = unknown.evidence_half_life_d.value * DAY_S
    oldest_s = now_s - HALF_LIVES_N * half_life_s
    places = _chosen(weights, waterings, oldest_s, now_s)
    at_s, mass_g = weights.at_s[places], weights.mass_g[places]
    given_ml = _given_between(waterings, at_s)
    lost_ml = np.where(np.isinf(given_ml), 0, given_ml) - np.diff(mass_g)
    older = 2 ** ((now_s - at_s[1:]) / half_life_s / 2)
    scale_g = older * np.sqrt(2) * noise_g
    days = np.maximum(np.diff(at_s) / DAY_S, 1)
    day_ln = np.hypot(unknown.day_bench_ln.value, unknown.day_tree_ln.value)
    day_frac = older * day_ln / np.sqrt(days)
    soak_g = older * np.where(
        np.isinf(given_ml), unknown.soak_frac.value * usable_ml, 0
    )
    return Evidence(
        at_s=at_s,
        mass_g=mass_g,
        error_g=np.sqrt(scale_g**2 + (day_frac * lost_ml) ** 2 + soak_g**2),
        scale_g=scale_g,
        day_frac=day_frac,
    )


def _chosen(
    weights: Weights, waterings: Waterings, oldest_s: float, now_s: float
) -> list[int]:
    known = np.flatnonzero((weights.at_s >= oldest_s) & (weights.at_s <= now_s))
    if not known.size:
        return []
    after = np.searchsorted(weights.at_s, waterings.at_s, side="right")
    beside = {*(after - 1).tolist(), *after.tolist()}
    chosen = [int(known[-1])]
    for place in known[-2::-1].tolist():
        far = weights.at_s[chosen[-1]] - weights.at_s[place] >= BETWEEN_WEIGHINGS_S
        if far or place in beside:
            chosen.append(place)
    return chosen[::-1]


def _given_between(waterings: Waterings, at_s: Row) -> Row:
    given_ml = np.zeros(max(at_s.size - 1, 0))
    place = np.searchsorted(at_s, waterings.at_s, side="right") - 1
    inside = (place >= 0) & (place < given_ml.size)
    np.add.at(given_ml, place[inside], waterings.given_ml[inside])
    return given_ml


def emptied_by(
    members: Members,
    evidence: Evidence,
    waterings: Waterings,
    unknown: Unknowns,
    key: str,
) -> Members:
    """Return members whose dry mass, the tare unknown, fits the heaviest weighing.

    After a watering the heaviest is taken for nearly full; without one it may
    be anything from the stop to full.
    """
    place = int(np.argmax(evidence.mass_g))
    at_s = evidence.at_s[place]
    watered = (waterings.at_s <= at_s) & (waterings.at_s > at_s - DAY_S)
    if watered.any():
        fullness = 1 - unknown.drained_frac.value * np.abs(normals(key, "fullness"))
    else:
        fullness = evenly(key, "fullness")
    ball = members.ball
    held_ml = ball.stop_ml + fullness * (ball.capacity_ml - ball.stop_ml)
    return replace(members, dry_g=np.asarray(evidence.mass_g[place] - held_ml))


def learned(
    members: Members,
    forcing: Forcing,
    evidence: Evidence,
    waterings: Waterings,
    *,
    now_s: float,
    wall_cm2: float,
    unknown: Unknowns,
    key: str,
) -> Told:
    """Return the members that the weighings leave likely, and their water now."""
    given = dict(zip(waterings.at_s.tolist(), waterings.given_ml.tolist(), strict=True))
    from_s = float(evidence.at_s[0])
    bounds_s = bounds_between(from_s, now_s, evidence.at_s, waterings.at_s)
    steps = steps_of(forcing, bounds_s, given)
    at_bounds = np.searchsorted(bounds_s, evidence.at_s)
    weighed_g = np.full(bounds_s.size, np.nan)
    weighed_g[at_bounds] = evidence.mass_g

    def course(believed: Members) -> Course:
        start = unknown_start(believed.ball, key)
        return course_of(believed, steps, start, wall_cm2=wall_cm2, weighed_g=weighed_g)

    knobs, prior = np.zeros((4, members.dry_g.size)), members
    for turn in range(PASSES_N if evidence.error_g.size else 0):
        run = course(members)
        mass_g = members.dry_g + (run.water_ml + run.canopy_ml)[:, at_bounds[1:]].T
        draws = generator_of(key, "weighings", f"{turn}")
        knobs = knobs + _nudges(_all_knobs(prior, knobs), mass_g, evidence, draws)
        members = turned(prior, knobs)

    def lost_ml(believed: Members) -> Grid:
        summed = np.cumsum(course(believed).lost_ml, axis=-1)
        by_bound = np.insert(summed, 0, 0, axis=-1)
        return np.diff(by_bound[:, at_bounds], axis=-1).T

    members = settled(members, evidence, waterings, lost_ml, unknown, key)
    return Told(members=members, water=course(members).last)


def turned(members: Members, knobs: Grid) -> Members:
    """Return members with demand, surface, size and dry mass turned so far.

    The first three knobs are natural logarithms, the last one is grams.
    """
    leaf_ln, surface_ln, usable_ln, dry_g = knobs
    return replace(
        members,
        ball=scaled(members.ball, np.exp(usable_ln)),
        demand_ratio=members.demand_ratio * np.exp(leaf_ln),
        surface_ratio=members.surface_ratio * np.exp(surface_ln),
        dry_g=members.dry_g + dry_g,
    )


def settled(
    members: Members,
    evidence: Evidence,
    waterings: Waterings,
    lost_ml: Callable[[Members], Grid],
    unknown: Unknowns,
    key: str,
) -> Members:
    """Return members that lose what the pot lost, each within the weighings' error.

    Where a soak of unknown amount lies between two weighings, nothing is told.
    """
    given_ml = _given_between(waterings, evidence.at_s)
    known = np.flatnonzero(np.isfinite(given_ml))
    if not known.size:
        return members
    told_ml = (given_ml - np.diff(evidence.mass_g))[known, np.newaxis]
    scale_g, day_frac = (
        part[known, np.newaxis] for part in (evidence.scale_g, evidence.day_frac)
    )
    off = _off(known.size, members.dry_g.size, unknown, key)
    whole = np.ones(members.dry_g.size)
    for _ in range(ROUNDS_N):
        own_ml = np.maximum(lost_ml(members)[known], LEAST_LOST_ML)
        error_frac = np.hypot(scale_g / own_ml, day_frac)
        told = told_ml / own_ml + error_frac * off
        sure, prior = error_frac**-2, unknown.settling_frac.value**-2
        ratio = (np.sum(sure * told, axis=0) + prior / whole) / (
            np.sum(sure, axis=0) + prior
        )
        ratio = np.clip(ratio, *RATIOS)
        members, whole = thirstier(members, ratio), whole * ratio
    return members


def _off(losses_n: int, members_n: int, unknown: Unknowns, key: str) -> Grid:
    """Return a standard normal for each loss and member, alike in part for all."""
    draws = generator_of(key, "losses")
    own, shared = draws.standard_normal((losses_n, members_n)), normals(key, "losses")
    alike_frac = unknown.days_alike_frac.value
    return np.sqrt(alike_frac) * shared + np.sqrt(1 - alike_frac) * own


def thirstier(members: Members, ratio: Row) -> Members:
    """Return members of which leaves, surface and wall ask so many times as much."""
    return replace(
        members,
        demand_ratio=members.demand_ratio * ratio,
        surface_ratio=members.surface_ratio * ratio,
        wall_ratio=members.wall_ratio * ratio,
    )


def _all_knobs(prior: Members, knobs: Grid) -> Grid:
    """Return where each member stands, prior and nudges together."""
    return knobs + np.stack(
        [
            np.log(prior.demand_ratio),
            np.log(prior.surface_ratio),
            np.log(np.asarray(prior.ball.capacity_ml)),
            prior.dry_g,
        ]
    )


def _nudges(
    knobs: Grid, mass_g: Grid, evidence: Evidence, draws: np.random.Generator
) -> Grid:
    """Return one pass of the smoother: how far each knob is to be turned."""
    variance = PASSES_N * evidence.error_g**2
    n = knobs.shape[1] - 1
    off_knobs = knobs - knobs.mean(axis=1, keepdims=True)
    off_mass = mass_g - mass_g.mean(axis=1, keepdims=True)
    spread = off_mass @ off_mass.T / n + np.diag(variance)
    noise_g = np.sqrt(variance)[:, np.newaxis] * draws.standard_normal(mass_g.shape)
    missed_g = evidence.mass_g[1:, np.newaxis] + noise_g - mass_g
    return off_knobs @ off_mass.T / n @ np.linalg.solve(spread, missed_g)
