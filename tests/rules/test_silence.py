import numpy as np

from arbuscula.catalog.library import read_library
from arbuscula.rules.silence import silent_h
from arbuscula.start import LIBRARY

FIGURES = read_library(LIBRARY).alarms
HOUR_S = 3600


def told(every_h, n=20):
    return (np.arange(n) * every_h * HOUR_S).tolist()


def test_a_voice_that_spoke_every_hour_is_missed_after_three():
    at_s = told(1)
    assert silent_h(at_s, at_s[-1] + 3 * HOUR_S, FIGURES) == 0
    assert silent_h(at_s, at_s[-1] + 3.1 * HOUR_S, FIGURES) > 3


def test_a_voice_that_speaks_once_a_day_is_given_three_days():
    at_s = told(24)
    assert silent_h(at_s, at_s[-1] + 71 * HOUR_S, FIGURES) == 0
    assert silent_h(at_s, at_s[-1] + 73 * HOUR_S, FIGURES) == 73


def test_a_voice_heard_a_few_times_only_is_not_missed():
    assert silent_h(told(1, n=4), 1e9, FIGURES) == 0
    assert silent_h([], 1e9, FIGURES) == 0


def test_one_long_pause_of_before_does_not_excuse_this_one():
    at_s = [*told(1, n=10), *(100 * HOUR_S + s for s in told(1, n=10))]
    at_s = [float(s) for s in at_s]
    assert silent_h(at_s, at_s[-1] + 4 * HOUR_S, FIGURES) > 0
