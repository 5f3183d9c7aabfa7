"""What trees teach about each other: never more than they are alike."""

import numpy as np
import pytest

from arbuscula.state.learning.shared import Messages, believed, message_of

TREES_N, BENCHES_N, MIXES_N = 300, 5, 3
SEEN_SD = 0.3


def world(rng, common, bench, mix, own, seen_n=12):
    """Return made trees' true dryness, who stands where, and some messages."""
    benches = rng.integers(0, BENCHES_N, TREES_N)
    mixes = rng.integers(0, MIXES_N, TREES_N)
    truth = common * rng.normal() + own * rng.normal(size=TREES_N)
    truth += (bench * rng.normal(size=BENCHES_N))[benches]
    truth += (mix * rng.normal(size=MIXES_N))[mixes]
    seen = rng.choice(TREES_N, seen_n, replace=False)
    off, variance = np.zeros(TREES_N), np.full(TREES_N, np.inf)
    off[seen] = truth[seen] + SEEN_SD * rng.normal(size=seen_n)
    variance[seen] = SEEN_SD**2
    doubt = np.full(TREES_N, np.sqrt(common**2 + bench**2 + mix**2 + own**2))
    told = Messages(off_ln=off, variance=variance, doubt_ln=doubt)
    return truth, benches.tolist(), mixes.tolist(), told, seen


def errors(*spread, worlds_n=40, seen_n=12):
    """Return root mean square errors of the unseen: untaught, taught; coverage."""
    untaught, taught, inside = [], [], []
    rng = np.random.default_rng(11)
    for _ in range(worlds_n):
        truth, benches, mixes, told, seen = world(rng, *spread, seen_n=seen_n)
        belief = believed(told, benches, mixes)
        others = np.setdiff1d(np.arange(TREES_N), seen)
        miss = (truth - belief.off_ln)[others]
        untaught.append(np.mean(truth[others] ** 2))
        taught.append(np.mean(miss**2))
        inside.append(np.mean(np.abs(miss) < 1.2816 * belief.sd_ln[others]))
    return np.sqrt(np.mean(untaught)), np.sqrt(np.mean(taught)), np.mean(inside)


def test_twelve_checks_teach_the_other_288_where_trees_are_alike():
    untaught, taught, inside = errors(0.30, 0.20, 0.12, 0.33)
    assert taught < 0.85 * untaught
    assert 0.7 < inside < 0.9


def test_the_more_alike_the_more_is_taught():
    gains = [
        taught / untaught
        for untaught, taught, _ in (
            errors(0.10, 0.10, 0.05, 0.48),
            errors(0.30, 0.20, 0.12, 0.33),
            errors(0.40, 0.30, 0.12, 0.20),
        )
    ]
    assert gains == sorted(gains, reverse=True)


def test_where_nothing_is_shared_the_others_lose_next_to_nothing():
    """Twelve messages cannot rule sharing out; forty nearly can."""
    untaught, taught, _ = errors(0.0, 0.0, 0.0, 0.5)
    assert taught < 1.03 * untaught
    untaught, taught, _ = errors(0.0, 0.0, 0.0, 0.5, seen_n=100)
    assert taught < 1.015 * untaught


def test_one_that_drinks_nothing_is_odd_and_is_told_so():
    rng = np.random.default_rng(3)
    _, benches, mixes, told, seen = world(rng, 0.3, 0.2, 0.12, 0.2, seen_n=60)
    told.off_ln[seen[0]] = -3.0
    belief = believed(told, benches, mixes)
    assert np.argmax(np.abs(belief.odd)) == seen[0]
    assert belief.odd[seen[0]] < -3


def test_no_message_leaves_everything_as_it_was():
    told = Messages(
        off_ln=np.zeros(4), variance=np.full(4, np.inf), doubt_ln=np.full(4, 0.6)
    )
    belief = believed(told, ["a", "a", "b", "b"], ["m"] * 4)
    assert belief.off_ln == pytest.approx(0)
    assert belief.sd_ln == pytest.approx(0.6, abs=1e-9)


def test_a_message_is_what_turns_the_prior_into_the_posterior():
    rng = np.random.default_rng(1)
    prior = rng.normal(0, 0.5, (4000, 2))
    likelihood = np.exp(-0.5 * ((prior - 0.6) / 0.4) ** 2)
    likelihood[:, 1] = 1
    share = likelihood / likelihood.sum(axis=0)
    told = message_of(prior, prior, share)
    assert told.off_ln[0] == pytest.approx(0.6, abs=0.06)  # 4000 draws
    assert told.variance[0] == pytest.approx(0.16, rel=0.15)
    assert np.isinf(told.variance[1])
