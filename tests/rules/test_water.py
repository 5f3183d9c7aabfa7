"""Each rule speaks where it should, and keeps silent where it should."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from arbuscula.kinds.round import Call, Rounds, TreeView, When
from arbuscula.kinds.said import Said
from arbuscula.plan.rounds import stop_at
from arbuscula.rules import RULES
from arbuscula.rules.water import BY_HAND, DUE, EARLY, PERHAPS, UNSEEN, UNSURE

AT = datetime(2026, 7, 1, 8, 10, tzinfo=UTC)
ROUNDS = Rounds(
    in_hand=AT - timedelta(minutes=10),
    next=AT + timedelta(hours=10),
    after=tuple(AT + timedelta(hours=h) for h in (24, 34, 48)),
)
FAR = AT + timedelta(days=4)
FINE = TreeView(
    key="fig",
    due_now_frac=0.0,
    due_next_frac=0.01,
    late_next_frac=0.0,
    due=When(p10=FAR, p50=FAR, p90=None),
    late=When(p10=None, p50=None, p90=None),
    looked=AT - timedelta(hours=14),
    found_dry=False,
    by_hand_only=(),
    water_ml=None,
)


def call(rule, **changed):
    advice = rule.check(replace(FINE, **changed), ROUNDS, AT, 7.0)
    return advice and advice.call


def test_a_tree_that_is_fine_hears_nothing():
    assert [rule.check(FINE, ROUNDS, AT, 7.0) for rule in RULES] == [None] * len(RULES)


def test_due_before_the_next_round_is_watered():
    assert call(DUE, due_next_frac=0.5) is Call.WATER
    assert call(DUE, due_next_frac=0.49) is None


def test_a_small_chance_of_late_is_watered_too():
    assert call(DUE, late_next_frac=0.05) is Call.WATER
    assert call(DUE, late_next_frac=0.049) is None


def test_perhaps_due_is_looked_at():
    assert call(PERHAPS, due_next_frac=0.15) is Call.CHECK
    assert call(PERHAPS, due_next_frac=0.14) is None


def test_a_band_over_two_rounds_is_looked_at():
    early = AT + timedelta(hours=5)
    wide = When(p10=early, p50=FAR, p90=AT + timedelta(hours=30))
    narrow = replace(wide, p90=AT + timedelta(hours=20))
    later = replace(wide, p10=AT + timedelta(hours=11))
    assert call(UNSURE, due=wide) is Call.CHECK
    assert call(UNSURE, due=narrow) is None
    assert call(UNSURE, due=later) is None


def test_nobody_looked_since_it_may_have_become_due():
    may = {"due_now_frac": 0.1, "due": replace(FINE.due, p10=AT)}
    assert call(EARLY, **may) is Call.CHECK
    assert call(EARLY, **may, looked=AT - timedelta(hours=2)) is None


def test_unseen_for_too_long_is_looked_at():
    assert call(UNSEEN, looked=AT - timedelta(days=7)) is Call.CHECK
    assert call(UNSEEN, looked=None) is Call.CHECK
    assert call(UNSEEN, looked=AT - timedelta(days=6)) is None


@pytest.mark.parametrize("reason", ["care.hospital", "care.cold", "care.roots_cut"])
def test_some_trees_are_never_watered_by_inference(reason):
    resting = {"due_next_frac": 0.9, "by_hand_only": (Said(reason, {}),)}
    assert call(BY_HAND, **resting) is Call.CHECK
    assert call(BY_HAND, **resting, found_dry=True) is Call.WATER
    stop = stop_at(
        replace(FINE, **resting), ROUNDS, AT, rules=RULES, longest_unseen_d=7.0
    )
    assert stop.call is Call.CHECK
    assert stop.because[0].message_id == reason


def test_the_first_rule_that_speaks_decides_and_those_that_agree_are_told():
    thirsty = replace(FINE, due_next_frac=0.3, looked=None)
    stop = stop_at(thirsty, ROUNDS, AT, rules=RULES, longest_unseen_d=7.0)
    said = [s.message_id for s in stop.because]
    assert stop.call is Call.CHECK
    assert said == ["water.perhaps_due", "water.never_seen"]
