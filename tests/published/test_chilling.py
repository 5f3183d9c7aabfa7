"""Chilling: Rutgers FS528; Man, Lu, Dang (man2017); Soloklui (soloklui2017).

The first two as read; hours of the first are counted.
"""

import numpy as np
import pytest

from arbuscula.science.phase import chill_h
from tests.jobs import CARE, LIBRARY, verdict

pytestmark = pytest.mark.published
BELOW_C = CARE.chill_below_c.value


@pytest.mark.parametrize(("weeks", "hours"), [(6, 1008), (8, 1344)])
def test_six_to_eight_weeks_at_or_below_4_4_degrees(weeks, hours):
    """The weeks are read, the hours counted; 4.4 itself is cold, 4.5 is not."""
    cold = np.full(weeks * 7 * 24, 4.4)
    assert chill_h(cold, below_c=BELOW_C) == hours
    assert chill_h(cold + 0.1, below_c=BELOW_C) == 0
    wanted = LIBRARY.groups["deciduous"].chill_h
    assert (wanted.value, wanted.high) == (1008, 1344)


def test_under_400_hours_buds_break_abnormally():
    assert LIBRARY.groups["deciduous"].chill_h.low == 400
    least = {"group": "deciduous", "chill_least_h": 400.0}
    assert verdict("repot", **least, chill_h=350.0) == "not yet"
    assert verdict("repot", **least, chill_h=400.0) == "yes"


@pytest.mark.parametrize(
    ("hours", "said"), [(200, "not yet"), (300, "yes"), (700, "yes")]
)
def test_pomegranates_want_233_to_633_hours_by_cultivar(hours, said):
    wanted = LIBRARY.groups["pomegranate"].chill_h
    assert (wanted.low, wanted.high) == (233, 633)
    told = {"group": "pomegranate", "chill_least_h": wanted.low}
    assert verdict("repot", **told, chill_h=float(hours)) == said


@pytest.mark.parametrize("group", ["tropical fig", "benjamina fig"])
def test_evergreen_figs_want_none(group):
    """Practice, no source."""
    assert LIBRARY.groups[group].chill_h is None
    assert verdict("repot", group=group, chill_h=0.0, chill_least_h=0.0) == "yes"
