"""How far a forecast is believed, after the days on which it was tried."""

import numpy as np
import pytest

from arbuscula.start import open_desk
from arbuscula.state.learning import trust
from arbuscula.state.learning.trust import Tried, trusted_ml, turn_ratio

FIGURES = open_desk().library().demand.trust
MEMBERS = np.exp(0.1 * np.linspace(-2, 2, 201))


def tried(foreseen, came, *, age_d=0.0, before=100.0):
    """Return a day after one of 100 mL, with so much foreseen and so much lost."""
    return Tried(
        age_d=age_d,
        before_ml=before,
        foreseen_ml=foreseen * MEMBERS,
        came_ml=came,
    )


def trust_of(days):
    return trust.trust_of(days, FIGURES)


def lost_ml(days_n=3, middle=200.0):
    return np.tile(middle * MEMBERS[:, np.newaxis], days_n)


def test_without_a_day_the_model_is_nearly_believed():
    trust = trust_of([])
    assert 0.8 < trust.comes_frac < 1
    assert trust.wider_ratio > 1


def test_changes_that_come_are_believed():
    days = [tried(200, 200, age_d=n) for n in range(5)]
    assert trust_of(days).comes_frac > 0.95


def test_a_pot_that_loses_the_same_every_day_is_taken_at_its_word():
    days = [tried(100 * (1.4 if n % 2 else 0.7), 100, age_d=n) for n in range(5)]
    assert trust_of(days).comes_frac < 0.3


def test_one_day_outvotes_not_what_one_begins_with():
    """A day counts for one at most: the middle of the two beliefs, no further."""
    assert trust_of([tried(400, 100)]).comes_frac >= trust_of([]).comes_frac / 2


def test_a_day_without_a_foreseen_change_says_nothing_of_changes():
    trust = trust_of([tried(100, 150)])
    assert trust.comes_frac == pytest.approx(trust_of([]).comes_frac)


def test_an_older_day_says_less():
    old, new = (trust_of([tried(200, 100, age_d=age)]).comes_frac for age in (4, 0))
    assert new < old < trust_of([]).comes_frac


def test_days_that_came_as_foreseen_narrow_the_band_and_others_widen_it():
    narrow = trust_of([tried(100, 100, age_d=n) for n in range(5)]).wider_ratio
    wide = trust_of([tried(100, 160, age_d=n) for n in range(5)]).wider_ratio
    assert narrow < 1 < trust_of([]).wider_ratio < wide


def test_the_first_day_is_held_back_most():
    trust = trust_of([tried(200, 100, age_d=n) for n in range(5)])
    middle = np.median(trusted_ml(lost_ml(), 100.0, trust), axis=0)
    assert middle[0] < middle[1] < middle[2] < 200


def test_the_mixture_of_two_forecasts_lies_between_them():
    """Bates and Granger's weights are of what two forecasts say, never beyond."""
    for came in (50, 100, 200, 900):
        trust = trust_of([tried(200, came, age_d=n) for n in range(5)])
        told_ml = np.median(trusted_ml(lost_ml(1), 100.0, trust))
        assert 100 - 1e-9 <= told_ml <= 200 + 1e-9


def test_without_a_yesterday_only_the_band_changes():
    trust = trust_of([])
    told_ml = trusted_ml(lost_ml(), None, trust)
    assert np.median(told_ml, axis=0) == pytest.approx(np.full(3, 200.0))
    spread = np.ptp(np.log(told_ml), axis=0)
    usual = np.ptp(np.log(lost_ml()), axis=0)
    assert spread == pytest.approx(trust.wider_ratio * usual)


def test_members_that_lose_nothing_break_nothing():
    nothing = np.zeros((201, 2))
    assert np.isfinite(trusted_ml(nothing, 100.0, trust_of([]))).all()
    dry = Tried(age_d=0, before_ml=1.0, foreseen_ml=nothing[:, 0], came_ml=1.0)
    assert np.isfinite(trust_of([dry]).comes_frac)


def test_a_pot_that_has_nothing_left_is_turned_no_further_than_fourfold():
    assert turn_ratio(np.array([[100.0]]), np.array([[0.0]])) == pytest.approx(4)
