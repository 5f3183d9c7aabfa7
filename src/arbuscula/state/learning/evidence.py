"""Evidence: what one check or one weighing changes in what is known of a tree."""

from typing import Final

import numpy as np

from arbuscula.kinds.checks import Feel
from arbuscula.kinds.events import Found
from arbuscula.kinds.weather import Row
from arbuscula.state.ensemble import generator_of
from arbuscula.state.learning.checks import found_ln
from arbuscula.state.trees import Trees, left_frac, shares_of

JITTER_FRAC: Final = 0.3
FEW_FRAC: Final = 0.5  # of the members, before they are drawn anew
LEAST_SCALE_G: Final = 5.0
MODEL_ERROR_FRAC: Final = 0.02  # of capacity, in each weighing


def felt(trees: Trees, place: int, found: Found, feel: Feel, event_id: str) -> None:
    """Let a check weigh the members of one tree."""
    gone_frac = 1 - left_frac(trees)[:, place]
    trees.weight_ln[:, place] += found_ln(gone_frac, found, feel)
    share = shares_of(trees)[:, place]
    if 1 / np.sum(share**2) < FEW_FRAC * share.size:
        _drawn_anew(trees, place, share, event_id)


def weighed(
    trees: Trees, place: int, mass_g: float, error_g: float | None, event_id: str
) -> None:
    """Let a weighing turn the members of one tree: a Kalman step on the ensemble."""
    share = shares_of(trees)[:, place]
    if np.ptp(share) > 0:
        _drawn_anew(trees, place, share, event_id)
    knobs = _knobs(trees, place)
    told_g = knobs[0] + knobs[1] + np.asarray(trees.water.canopy_ml)[:, place]
    capacity_ml = np.exp(knobs[2])
    error_g = max(error_g or LEAST_SCALE_G, LEAST_SCALE_G)
    variance = error_g**2 + (MODEL_ERROR_FRAC * float(capacity_ml.mean())) ** 2
    noise = generator_of(trees.keys[place], event_id).standard_normal(told_g.size)
    missed_g = mass_g + np.sqrt(variance) * noise - told_g
    off_g = told_g - told_g.mean()
    gains = (knobs - knobs.mean(axis=1, keepdims=True)) @ off_g / (off_g.size - 1)
    gains = gains / (off_g.var(ddof=1) + variance)
    _turn(trees, place, knobs + gains[:, np.newaxis] * missed_g)


def _knobs(trees: Trees, place: int) -> Row:
    """Return what evidence may turn, a row each; sizes as logarithms."""
    members = trees.members
    return np.stack(
        [
            np.asarray(trees.water.water_ml)[:, place],
            members.dry_g[:, place],
            np.log(np.asarray(members.ball.capacity_ml)[:, place]),
            np.log(members.demand_ratio[:, place]),
            np.log(members.surface_ratio[:, place]),
        ]
    )


def _turn(trees: Trees, place: int, knobs: Row) -> None:
    """Set one tree's members; stop and capacity keep their ratio."""
    members = trees.members
    full_ml = np.asarray(members.ball.capacity_ml)
    stop_ml = np.asarray(members.ball.stop_ml)
    water_ml, dry_g, capacity_ln, demand_ln, surface_ln = knobs
    capacity_ml = np.exp(capacity_ln)
    stop_ml[:, place] *= capacity_ml / full_ml[:, place]
    full_ml[:, place] = capacity_ml
    members.dry_g[:, place] = dry_g
    members.demand_ratio[:, place] = np.exp(demand_ln)
    members.surface_ratio[:, place] = np.exp(surface_ln)
    np.asarray(trees.water.water_ml)[:, place] = np.clip(water_ml, 0.0, capacity_ml)


def _drawn_anew(trees: Trees, place: int, share: Row, event_id: str) -> None:
    """Draw members by weight, shrunk and jittered so that their spread stays.

    Each keeps its relative water through the jump.
    """
    rng = generator_of(trees.keys[place], event_id, "drawn anew")
    chosen = np.searchsorted(
        np.cumsum(share), (np.arange(share.size) + rng.random()) / share.size
    )
    chosen = np.minimum(chosen, share.size - 1)
    knobs = _knobs(trees, place)
    relative = knobs[0] / np.exp(knobs[2])
    mean = knobs @ share
    spread = (knobs - mean[:, np.newaxis]) * np.sqrt(share)
    step = spread @ rng.standard_normal((share.size, share.size))
    kept = np.sqrt(1 - JITTER_FRAC**2)
    drawn = mean[:, np.newaxis] + kept * (knobs[:, chosen] - mean[:, np.newaxis])
    drawn = drawn + JITTER_FRAC * step
    drawn[0] = relative[chosen] * np.exp(drawn[2])
    for part in (trees.water.surface_depletion_mm, trees.water.canopy_ml):
        held = np.asarray(part)
        held[:, place] = held[chosen, place]
    trees.weight_ln[:, place] = 0.0
    _turn(trees, place, drawn)
