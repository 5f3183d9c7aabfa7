"""Light through panes, by the angle at which it falls."""

import numpy as np
import pytest

from arbuscula.science import glazing

ANGLES_DEG = np.array([0.0, 20, 40, 60, 70, 80, 85, 89])


def through(normal_frac, panes_n):
    return glazing.transmitted_frac(
        incidence_deg=ANGLES_DEG, normal_frac=normal_frac, panes_n=panes_n
    )


@pytest.mark.parametrize("panes_n", [1, 2, 3])
def test_less_comes_through_the_flatter_light_falls(panes_n):
    told = through(0.7, panes_n)
    assert told[0] == pytest.approx(0.7)
    assert np.all(np.diff(told) < 0)
    assert told[-1] < 0.1


def test_more_panes_lose_more_of_flat_light():
    """Straight on they pass alike; from 70 degrees on their surfaces tell."""
    one, two, three = (through(0.7, panes_n)[4:] for panes_n in (1, 2, 3))
    assert np.all(one > two)
    assert np.all(two > three)


def test_dark_glass_loses_more_by_the_longer_way_through_it():
    clear, dark = through(0.9, 1) / 0.9, through(0.3, 1) / 0.3
    assert np.all(dark[1:] < clear[1:])


def test_nothing_comes_from_behind():
    told = glazing.transmitted_frac(
        incidence_deg=np.array([90.0, 120.0]), normal_frac=0.9, panes_n=1
    )
    assert told.tolist() == [0, 0]


def test_light_from_everywhere_is_the_mean_of_its_directions():
    """1e-4: a plain sum over 0.1 degrees, against 64 chosen angles."""
    angles = np.radians(np.arange(900) / 10 + 0.05)
    weights = np.sin(2 * angles)
    one_by_one = glazing.transmitted_frac(
        incidence_deg=np.degrees(angles), normal_frac=0.8, panes_n=2
    )
    plain = np.sum(one_by_one * weights) / np.sum(weights)
    told = glazing.diffuse_transmitted_frac(normal_frac=0.8, panes_n=2)
    assert told == pytest.approx(plain, abs=1e-4)


def test_glass_throws_back_one_swing_of_light_and_not_the_other():
    """At Brewster's angle, atan of the refraction, no light swung along returns."""
    brewster_deg = float(np.degrees(np.arctan(glazing.GLASS_INDEX)))
    across, along = glazing.surface_reflected_frac(brewster_deg)
    assert along == pytest.approx(0, abs=1e-12)
    assert across > 0.1
