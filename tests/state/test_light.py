"""What a light meter at a leaf teaches about a bench."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from arbuscula.start import desk_at
from arbuscula.state.learning.light import LightSeen, light_ratio

FIGURES = desk_at(Path("not-needed")).library().benches.light
USUAL = FIGURES.computed_ratio


def seen(read, told=100.0, lamp=0.0, spread_ln=0.0):
    members = told * np.exp(spread_ln * np.linspace(-1.5, 1.5, 64))
    return LightSeen(read_umol_m2_s=read, told_umol_m2_s=members, lamp_umol_m2_s=lamp)


def told(*readings):
    return light_ratio(readings, USUAL, FIGURES)


def width(ratio):
    return ratio.p90 / ratio.p10


def test_one_reading_draws_the_ratio_towards_it_and_not_past_it():
    assert 0.5 < told(seen(50.0)).p50 < 1.0


def test_many_alike_say_what_they_say():
    """Twenty readings leave a twentieth of the doubt that one has."""
    assert told(*[seen(50.0)] * 20).p50 == pytest.approx(0.5, rel=0.05)


def test_each_reading_narrows_it_but_never_below_a_meters_own_doubt():
    widths = [width(told(*[seen(80.0)] * n)) for n in (1, 3, 10, 100)]
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] > FIGURES.metered_ratio.high / FIGURES.metered_ratio.low


def test_a_sky_that_nobody_knew_teaches_less():
    clear, guessed = told(seen(50.0)), told(seen(50.0, spread_ln=0.6))
    assert guessed.p50 > clear.p50
    assert width(guessed) > width(clear)


def test_what_the_lamp_gives_is_taken_off_first():
    assert told(seen(150.0, lamp=100.0)) == told(seen(50.0))


@pytest.mark.parametrize("one", [seen(3.0, told=0.5), seen(40.0, lamp=60.0)])
def test_darkness_and_lamplight_teach_nothing_of_daylight(one):
    assert told(one) is None


def test_a_bench_of_usual_shares_lets_a_reading_move_it_further():
    wide = replace(USUAL, low=0.2, high=3.0)
    assert light_ratio([seen(50.0)], wide, FIGURES).p50 < told(seen(50.0)).p50
