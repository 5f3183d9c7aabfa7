"""Chances of cold nights over four measured years: Seattle 2012-15, vega_datasets.

scripts/replay_forecasts.py tells how the forecasts are made; the error is that of
forecasts, the nights are measured.
"""

from functools import cache

import pytest

from scripts.daily_series import series
from scripts.replay_forecasts import (
    SEEDS_N,
    bins,
    brier,
    replayed,
    spring_to_autumn,
    together,
    unrounded,
    usual,
)

pytestmark = [pytest.mark.published, pytest.mark.slow]

WITHIN = 0.05  # promised; one bin holds some 60 nights, each told eight times
SEEDS = tuple(range(1, SEEDS_N + 1))


@cache
def seattle():
    try:
        return unrounded(series("Seattle"))
    except ModuleNotFoundError as missing:
        pytest.skip(f"NOT RUN: the package {missing} is not installed")


@cache
def told(*, always_k=0.0, learns=False, seeds=SEEDS):
    parts = [
        replayed(seattle(), always_k=always_k, learns=learns, seed=s) for s in seeds
    ]
    return together([spring_to_autumn(part) for part in parts])


def worst(found):
    return max(abs(b.told_frac - b.came_frac) for b in bins(found))


def test_nights_under_10_degrees_come_as_often_as_was_told():
    found = told()
    assert found.came.size == SEEDS_N * 4 * 214  # April to October
    assert worst(found) <= WITHIN


def test_it_is_far_better_than_the_usual_nights_of_the_place():
    climate = spring_to_autumn(usual(seattle()))
    assert brier(told()) < 0.6 * brier(climate)


def test_where_the_place_is_colder_the_own_thermometer_makes_up_for_it():
    deaf = told(always_k=2.0, seeds=(1, 2))
    heard = told(always_k=2.0, learns=True, seeds=(1, 2))
    assert worst(deaf) > 0.3  # what a hollow does to a forecast
    assert worst(heard) <= WITHIN + 0.03  # half as many nights, and it has to learn
    assert brier(heard) < 0.7 * brier(deaf)
