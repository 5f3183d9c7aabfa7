import numpy as np
import pytest

from arbuscula.kinds.case import Waterings, Weights
from arbuscula.state.scale import summed_losses_ml
from arbuscula.state.score import horizon_score, naive_losses_ml_d

HOUR_S = 3600.0
NONE = Waterings(at_s=np.empty(0), given_ml=np.empty(0))
# 100 mL on the first day, 140 on the second, then 200 a day
LOSSES = np.repeat([100, 140, 200, 200, 200, 200, 200], 24) / 24
WEIGHTS = Weights(
    at_s=np.arange(LOSSES.size + 1) * HOUR_S,
    mass_g=4000 - np.concatenate([[0], np.cumsum(LOSSES)]),
)
SUMMED = summed_losses_ml(WEIGHTS, NONE)
NOW_S = 48 * HOUR_S


def test_yesterday_and_the_mean_are_whole_days_before_now():
    yesterday, mean = naive_losses_ml_d(WEIGHTS, SUMMED, NOW_S)
    assert yesterday == pytest.approx(140)
    assert mean == pytest.approx(120)


def test_without_a_whole_day_there_is_no_naive_forecast():
    assert naive_losses_ml_d(WEIGHTS, SUMMED, 20 * HOUR_S) == (None, None)


@pytest.mark.parametrize(("horizon_h", "lost"), [(24, 200), (72, 600), (120, 1000)])
def test_errors_are_shares_of_what_was_lost(horizon_h, lost):
    score = horizon_score(
        horizon_h, now_s=NOW_S, weights=WEIGHTS, summed_ml=SUMMED, model_ml=0.9 * lost
    )
    assert score.lost_ml == pytest.approx(lost)
    assert score.model_error_frac == pytest.approx(0.1)
    assert score.yesterday_error_frac == pytest.approx(0.3)
    assert score.mean_error_frac == pytest.approx(0.4)


def test_beyond_the_weights_there_is_no_score():
    score = horizon_score(
        144, now_s=NOW_S, weights=WEIGHTS, summed_ml=SUMMED, model_ml=900.0
    )
    assert score.lost_ml is score.model_error_frac is score.mean_error_frac is None
