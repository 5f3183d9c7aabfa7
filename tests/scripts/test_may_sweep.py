"""Every technique on every day of a year, in three cities. Practice, no source."""

from dataclasses import fields, replace

import numpy as np
import pytest

from arbuscula.kinds.events import BudsSwelling, FlushHardened
from arbuscula.kinds.technique import Verdict
from arbuscula.start import desk_at
from scripts.may_sweep import months_of, sweep, year_at

pytestmark = pytest.mark.slow
BIG_ON_FIGS = ("repot", "root-work", "structural-cut", "bare-wood-cut", "defoliate")


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    return desk_at(tmp_path_factory.mktemp("home"))


@pytest.fixture(scope="module")
def told(desk):
    """Return a city's sweep, worked out once for all tests."""
    kept = {}

    def ask(city, **how):
        key = (city, *how.items())
        if key not in kept:
            kept[key] = sweep(desk, year_at(desk, city), **how)
        return kept[key]

    return ask


def yes(days):
    return np.array([verdict is Verdict.YES for verdict in days])


def middle_n(days):
    """Return the middle of the days that say yes, on a round year."""
    turns = 2 * np.pi * np.flatnonzero(yes(days)) / 365
    angle = np.arctan2(np.sin(turns).mean(), np.cos(turns).mean())
    return angle / (2 * np.pi) * 365 % 365


def seasonal(days):
    return 0 < yes(days).sum() < 300


def test_the_southern_city_is_half_a_year_later(told):
    """45 days either way: Cape Town is milder than Trieste and grows for longer."""
    north, south = told("Trieste"), told("Cape Town")
    both = [k for k in north if seasonal(north[k]) and seasonal(south[k])]
    assert set(BIG_ON_FIGS) <= set(both)
    for key in both:
        later_d = (middle_n(south[key]) - middle_n(north[key])) % 365
        assert later_d == pytest.approx(182, abs=45), key


def test_the_same_year_turned_by_half_is_the_same_advice_half_a_year_later(desk):
    """No date, no month, no hemisphere stands in any rule."""
    year = year_at(desk, "Trieste")
    half = {f.name: np.roll(getattr(year, f.name), 182, axis=-1) for f in fields(year)}
    north, south = sweep(desk, year), sweep(desk, replace(year, **half))
    for key, days in north.items():
        assert (np.roll(yes(days), 182) == yes(south[key])).all(), key


@pytest.mark.parametrize("seen", [None, BudsSwelling(), FlushHardened()])
def test_at_the_equator_no_month_is_unlike_another(told, seen):
    for key, days in told("Singapore", seen=seen).items():
        assert len(set(days)) == 1, key


def test_at_the_equator_buds_and_hard_leaves_open_what_no_date_can(told):
    for key in BIG_ON_FIGS:
        assert not yes(told("Singapore")[key]).any()
    buds = told("Singapore", seen=BudsSwelling())
    assert all(yes(buds[key]).all() for key in BIG_ON_FIGS[:-1])
    assert yes(told("Singapore", seen=FlushHardened())["defoliate"]).all()


def test_big_jobs_on_figs_fall_into_the_warm_growth_of_each_city(told):
    """As growth starts: late May to mid July in the north, the same in the south."""
    for key in BIG_ON_FIGS[:-1]:
        assert not sum(
            months_of(told("Trieste")[key])[n] for n in (0, 1, 2, 3, 8, 9, 10, 11)
        )
        assert not sum(months_of(told("Cape Town")[key])[n] for n in range(2, 10))
    assert sum(months_of(told("Trieste")["defoliate"])[6:8]) > 14


def test_not_even_buds_in_winter_open_a_big_job(told):
    buds = told("Trieste", seen=BudsSwelling())
    for key in BIG_ON_FIGS:
        assert not sum(months_of(buds[key])[n] for n in (0, 1, 2, 3, 9, 10, 11))


def test_a_fig_is_trimmed_and_looked_at_all_year(told):
    for city in ("Trieste", "Cape Town", "Singapore"):
        for key in ("trim", "look-at-roots", "hospital", "quarantine"):
            assert yes(told(city)[key]).all()


@pytest.mark.parametrize("species", ["ficus-benjamina", "juniperus-chinensis"])
def test_who_is_never_cut_to_bare_wood(told, species):
    for city in ("Trieste", "Cape Town", "Singapore"):
        days = told(city, species=species)
        assert set(days["bare-wood-cut"]) == {Verdict.NO}
        assert set(days["defoliate"]) == {Verdict.NO}
