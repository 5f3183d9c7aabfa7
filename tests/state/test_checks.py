import numpy as np
import pytest

from arbuscula.kinds.events import FELT, Found
from arbuscula.state.learning.checks import found_ln
from tests.state.made import LIBRARY

GONE = np.linspace(0.02, 1, 99)
LIFTS = (Found.LIGHT, Found.HALF, Found.HEAVY)


@pytest.mark.parametrize("how", ["surface", "finger", "skewer", "lifted"])
def test_the_three_answers_share_all_chances(how):
    answers = LIFTS if how == "lifted" else FELT
    feel = LIBRARY.checks[how]
    total = sum(np.exp(found_ln(GONE, found, feel)) for found in answers)
    assert total == pytest.approx(1, abs=0.02)  # where two lines meet


def test_dry_speaks_for_members_with_little_left():
    dry = found_ln(GONE, Found.DRY, LIBRARY.checks["finger"])
    wet = found_ln(GONE, Found.WET, LIBRARY.checks["finger"])
    assert np.all(np.diff(dry) >= -1e-12)
    assert np.all(np.diff(wet) <= 1e-12)


def test_a_slip_of_the_finger_stays_possible():
    """Three slips in a hundred, shared by three answers."""
    full = found_ln(np.array([0.02]), Found.DRY, LIBRARY.checks["finger"])
    assert np.exp(full[0]) == pytest.approx(0.01, abs=0.001)


def test_a_lift_and_a_finger_are_not_the_same_evidence():
    at = np.array([0.45])
    finger = found_ln(at, Found.MOIST, LIBRARY.checks["finger"])
    surface = found_ln(at, Found.MOIST, LIBRARY.checks["surface"])
    assert finger > surface
