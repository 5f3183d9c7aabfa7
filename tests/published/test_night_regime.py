"""nightregime, read as an abstract: nights of 12 against 18 degC.

One-year F. benjamina 'Golden Princess' and 'Starlight' stopped at 12 degC.
"""

import pytest

from arbuscula.science.phase import night_share_frac
from tests.jobs import CARE, LIBRARY

pytestmark = pytest.mark.published


def test_nights_of_12_hold_back_what_nights_of_18_do_not():
    habit, least = LIBRARY.groups["benjamina fig"], CARE.cool_night_frac.value
    at = {
        "stops_c": habit.night_stops_c.value,
        "full_c": habit.night_full_c.value,
        "least_frac": least,
    }
    assert night_share_frac(night_c=18.0, **at) == 1
    assert night_share_frac(night_c=12.0, **at) == least
    assert least < 0.5
