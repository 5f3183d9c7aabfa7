import numpy as np

from arbuscula.state.learning.choice import check_first
from tests.state.made import LIBRARY

MEMBERS_N = 64
FEEL = LIBRARY.checks["lifted"]


def asked(gone_mean, *, doubt=0.5, stakes=None, benches=None, most_n=3, alike=None):
    """Return whom to lift among trees with these shares of water gone."""
    rng = np.random.default_rng(5)
    gone_mean = np.asarray(gone_mean, dtype=float)
    n = gone_mean.size
    dryness = rng.normal(0, 1, (MEMBERS_N, n)) * np.broadcast_to(doubt, n)
    gone = np.clip(gone_mean * np.exp(dryness), 0, 1)
    return check_first(
        dryness,
        np.full((MEMBERS_N, n), 1 / MEMBERS_N),
        gone,
        np.ones(n) if stakes is None else np.asarray(stakes, dtype=float),
        FEEL,
        alike=np.array([1.0, 0, 0, 0]) if alike is None else np.asarray(alike),
        benches=benches or ["a"] * n,
        mixes=["m"] * n,
        most_n=most_n,
    )


def test_a_pot_watered_this_morning_tells_nothing():
    assert asked([0.01, 0.45, 0.01], most_n=1) == [1]


def test_where_more_is_at_stake_is_looked_first():
    assert asked([0.45] * 3, stakes=[0.1, 0.1, 1.0], most_n=1) == [2]


def test_the_less_known_is_looked_first():
    assert asked([0.45] * 3, doubt=[0.2, 0.6, 0.2], most_n=1) == [1]


def test_a_second_look_goes_to_another_bench_where_benches_are_alike():
    benches = ["a"] * 6 + ["b"] * 6
    chosen = asked([0.45] * 12, benches=benches, alike=[0, 0, 0, 1.0], most_n=2)
    assert {benches[place] for place in chosen} == {"a", "b"}


def test_no_more_are_named_than_there_are():
    assert sorted(asked([0.45, 0.45], most_n=5)) == [0, 1]
