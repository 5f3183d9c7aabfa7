from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from arbuscula.kinds.events import KIND_OF, Checked, Event, Found, How, Sort, Watered
from arbuscula.state.learning.scoring import (
    Call,
    cycles_of,
    errors_of,
    loses_to_naive,
    naive_due_s,
    outcomes_of,
    reliability,
)

START = datetime(2026, 7, 1, 8, tzinfo=UTC)
HOUR_S = 3600.0


def event(hours, facts):
    at = START + timedelta(hours=hours)
    return Event(
        id=f"{hours}",
        sort=Sort.TREE,
        subject="fig",
        kind=KIND_OF[type(facts)],
        happened=at,
        written=at,
        facts=facts,
    )


def soak(hours):
    return event(hours, Watered())


def dry(hours):
    return event(hours, Checked(how=How.LIFTED, found=Found.LIGHT))


def moist(hours):
    return event(hours, Checked(how=How.FINGER, found=Found.MOIST))


def call(hours, due=0.5, middle=None, width=5):
    at_s = START.timestamp() + hours * HOUR_S
    middle_s = (
        at_s + 20 * HOUR_S if middle is None else START.timestamp() + middle * HOUR_S
    )
    return Call(
        at_s=at_s,
        next_s=at_s + 10 * HOUR_S,
        due_next_frac=due,
        early_s=middle_s - width * HOUR_S,
        middle_s=middle_s,
        last_s=middle_s + width * HOUR_S,
    )


def test_a_check_before_the_next_round_judges_a_call():
    (outcome,) = outcomes_of([call(0, due=0.7)], [dry(3)])
    assert outcome.was_due
    (outcome,) = outcomes_of([call(0)], [moist(3)])
    assert not outcome.was_due


@pytest.mark.parametrize("life", [[dry(11)], [], [soak(2), dry(3)], [dry(-1)]])
def test_a_call_that_nobody_looked_after_is_not_judged(life):
    assert list(outcomes_of([call(0)], life)) == []


def test_a_cycle_runs_from_the_watering_to_the_dry_pot():
    life = [soak(0), moist(10), dry(30), soak(31), dry(70)]
    first, second = cycles_of([call(1, middle=28), call(32, middle=80)], life)
    assert first.dry_s - first.watered_s == 30 * HOUR_S
    assert second.forecast_s == START.timestamp() + 80 * HOUR_S


def test_a_pot_watered_before_it_was_dry_makes_no_cycle():
    (only,) = cycles_of([], [soak(0), soak(20), dry(50)])
    assert only.dry_s - only.watered_s == 30 * HOUR_S


def test_errors_stand_beside_as_last_time_and_the_mean():
    life = [soak(0), dry(20), soak(21), dry(61), soak(62), dry(92)]
    calls = [call(1, middle=25), call(22, middle=55), call(63, middle=90)]
    errors = errors_of(list(cycles_of(calls, life)))
    assert errors.cycles_n == 2
    assert errors.model_h == pytest.approx((6 + 2) / 2)
    assert errors.last_time_h == pytest.approx((20 + 10) / 2)
    assert errors.mean_interval_h == pytest.approx((20 + 0) / 2)
    assert errors.covered_frac == pytest.approx(0.5)


def test_the_first_cycle_has_nothing_to_be_compared_with():
    assert errors_of(list(cycles_of([call(1)], [soak(0), dry(20)]))).model_h is None


def regular(error_h, n=7):
    """Return cycles of just thirty hours, forecast with this error."""
    life, calls = [], []
    for k in range(n):
        life += [soak(31 * k), dry(31 * k + 30)]
        calls.append(call(31 * k + 1, middle=31 * k + 30 + error_h))
    return list(cycles_of(calls, life))


def test_a_model_that_loses_to_last_time_is_told_to_step_back():
    assert loses_to_naive(errors_of(regular(8)))
    assert not loses_to_naive(errors_of(regular(0)))
    assert not loses_to_naive(errors_of(regular(8, n=4)))  # too few to tell


def test_as_last_time_counts_from_the_last_watering():
    cycles = regular(0)
    assert naive_due_s(cycles, 1000.0) == 1000 + 30 * HOUR_S
    assert naive_due_s([], 1000.0) is None


def test_reliability_puts_like_chances_together():
    rng = np.random.default_rng(4)
    chances = rng.random(4000)
    calls = [call(0, due=float(p)) for p in chances]
    life = [[dry(2)] if rng.random() < p else [moist(2)] for p in chances]
    told = [
        o for c, one in zip(calls, life, strict=True) for o in outcomes_of([c], one)
    ]
    bins = list(reliability(told))
    assert sum(b.calls_n for b in bins) == 4000
    for b in bins:
        error = (0.25 / max(b.calls_n, 1)) ** 0.5
        assert b.came_frac == pytest.approx(b.said_frac, abs=4 * error)
