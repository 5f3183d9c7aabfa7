"""What the scale teaches, tried on made trees whose truth is known."""

from dataclasses import replace

import numpy as np
import pytest

from arbuscula.kinds.case import Waterings, Weights
from arbuscula.state.ensemble import spread_of
from arbuscula.state.learning.weighings import evidence_of, learned
from arbuscula.state.water import bounds_between, course_of, steps_of, unknown_start
from tests.state.made import LIBRARY, MEMBERS, made_forcing, made_rows

HOUR_S = 3600.0
DAY_S = 86_400.0
UNKNOWN = LIBRARY.demand.unknown
DAYS_N = 12
ROWS = made_rows(days_n=DAYS_N, seed=11)
FORCING = made_forcing(ROWS)
SOAKS = Waterings(
    at_s=ROWS.from_s[0] + np.arange(DAYS_N) * DAY_S + 7 * HOUR_S,
    given_ml=np.full(DAYS_N, np.inf),
)
NOW_S = float(ROWS.from_s[0] + 10 * DAY_S + 8 * HOUR_S)


def true_weights(demand, *, noise_g=2.0, changed_after_d=None, changed_to=None):
    """Return twice-daily weighings of a tree with this demand over the model's own."""
    n = MEMBERS.dry_g.size
    truth = replace(
        MEMBERS,
        ball=replace(
            MEMBERS.ball,
            capacity_ml=np.full(n, 960.0),
            stop_ml=np.full(n, 560.0),
            stress_below_frac=np.full(n, 0.35),
        ),
        demand_ratio=np.full(n, demand),
        surface_ratio=np.ones(n),
        dry_g=np.full(n, 2600.0),
    )
    bounds = bounds_between(ROWS.from_s[0], NOW_S, SOAKS.at_s)
    off = np.ones((1, bounds.size - 1))
    if changed_after_d is not None:
        off[:, bounds[:-1] > ROWS.from_s[0] + changed_after_d * DAY_S] = changed_to
    given = dict.fromkeys(SOAKS.at_s.tolist(), np.inf)
    start = unknown_start(truth.ball, "truth")
    steps = steps_of(FORCING, bounds, given)
    course = course_of(truth, steps, start, wall_cm2=0.0, day_ratio=off)
    seen = np.isin((bounds - ROWS.from_s[0]) % DAY_S / HOUR_S, (7, 8, 19))
    seen &= bounds > SOAKS.at_s[0]
    noise = np.random.default_rng(5).normal(0, noise_g, int(seen.sum()))
    middle = course.water_ml[100] + course.canopy_ml[100]
    return Weights(at_s=bounds[seen], mass_g=2600 + middle[seen] + noise)


def taught(weights, unknown=UNKNOWN):
    evidence = evidence_of(
        weights,
        SOAKS,
        now_s=NOW_S,
        noise_g=2.0,
        usable_ml=400.0,
        unknown=unknown,
    )
    return learned(
        MEMBERS,
        FORCING,
        evidence,
        SOAKS,
        now_s=NOW_S,
        wall_cm2=0.0,
        unknown=unknown,
        key="fig",
    )


def asked_ml(members, from_d=9, until_d=10):
    """Return what leaves and surface ask for on one day, member by member."""
    day = ROWS.from_s[0] + np.array([from_d, until_d]) * DAY_S
    steps = steps_of(FORCING, day, {})
    top_cm2 = members.ball.top_area_cm2
    surface_ml = steps.surface_mm.sum() * top_cm2 / 10 * members.surface_ratio
    return steps.leaf_ml.sum(axis=1) * members.demand_ratio + 0.6 * surface_ml


@pytest.mark.parametrize("demand", [0.6, 1.0, 1.4])
def test_weighings_bring_the_loss_close(demand):
    before = spread_of(asked_ml(MEMBERS))
    told = taught(true_weights(demand))
    after = spread_of(asked_ml(told.members))
    n = MEMBERS.dry_g.size
    truth = replace(MEMBERS, demand_ratio=np.full(n, demand), surface_ratio=np.ones(n))
    true_ml = float(np.median(asked_ml(truth)))
    # the leaf's own answers differ from member to member: a tenth of the day
    assert after.p50 == pytest.approx(true_ml, rel=0.12)
    sure, unsure = ((s.p90 - s.p10) / s.p50 for s in (after, before))
    assert sure < 0.5 * unsure


@pytest.mark.parametrize("demand", [0.3, 3.0])
def test_a_plant_unlike_the_library_is_followed_by_its_losses(demand):
    """Two and a half standard errors off: the prior alone holds the smoother back."""
    told = taught(true_weights(demand))
    truth = replace(
        MEMBERS,
        demand_ratio=np.full(MEMBERS.dry_g.size, demand),
        surface_ratio=np.ones(MEMBERS.dry_g.size),
    )
    true_ml = float(np.median(asked_ml(truth)))
    # stress late in the day hides a part of so large a demand
    assert spread_of(asked_ml(told.members)).p50 == pytest.approx(true_ml, rel=0.15)


def test_recent_days_weigh_more():
    """The tree was trimmed four days ago and drinks half of what it did."""
    weights = true_weights(1.4, changed_after_d=6.3, changed_to=0.5)
    forgetful = np.median(asked_ml(taught(weights).members))
    never = replace(
        UNKNOWN,
        evidence_half_life_d=replace(UNKNOWN.evidence_half_life_d, value=500.0),
    )
    faithful = np.median(asked_ml(taught(weights, never).members))
    n = MEMBERS.dry_g.size
    now = replace(MEMBERS, demand_ratio=np.full(n, 0.7), surface_ratio=np.full(n, 0.5))
    true_ml = float(np.median(asked_ml(now)))
    assert abs(forgetful - true_ml) < 0.6 * abs(faithful - true_ml)
    assert forgetful == pytest.approx(true_ml, rel=0.25)


def test_a_half_life_halves_what_evidence_weighs():
    weights = true_weights(1.0)
    evidence = evidence_of(
        weights, SOAKS, now_s=NOW_S, noise_g=2.0, usable_ml=400.0, unknown=UNKNOWN
    )
    later = evidence_of(
        weights,
        SOAKS,
        now_s=NOW_S + 2 * DAY_S,
        noise_g=2.0,
        usable_ml=400.0,
        unknown=UNKNOWN,
    )
    ratio = later.error_g[-1] ** 2 / evidence.error_g[-1] ** 2
    assert ratio == pytest.approx(2)


def test_one_weighing_sets_the_water_and_teaches_nothing_else():
    weights = true_weights(1.0)
    last = Weights(at_s=weights.at_s[-1:], mass_g=weights.mass_g[-1:])
    told = taught(last)
    assert np.array_equal(told.members.demand_ratio, MEMBERS.demand_ratio)


def test_the_same_weights_teach_the_same():
    weights = true_weights(1.3)
    one, two = taught(weights), taught(weights)
    assert np.array_equal(one.members.demand_ratio, two.members.demand_ratio)
