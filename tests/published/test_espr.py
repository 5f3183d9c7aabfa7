"""ESP-r's published data base of glazing optics: clear glass of 4 mm, by angle.

Transmittance of the sun at 0, 40, 55, 70 and 80 degrees, and of visible light.
"""

import numpy as np
import pytest

from arbuscula.science.glazing import transmitted_frac
from tests.state.made import LIBRARY

pytestmark = pytest.mark.published

ANGLES_DEG = np.array([0.0, 40, 55, 70, 80])
SINGLE = [0.819, 0.802, 0.761, 0.621, 0.376]
DOUBLE = [0.676, 0.651, 0.604, 0.441, 0.201]


@pytest.mark.parametrize(("panes_n", "table"), [(1, SINGLE), (2, DOUBLE)])
def test_clear_panes_by_angle(panes_n, table):
    """0.03: theirs are sums over a glass's own spectrum, ours one mean."""
    told = transmitted_frac(
        incidence_deg=ANGLES_DEG, normal_frac=table[0], panes_n=panes_n
    )
    assert told == pytest.approx(table, abs=0.03)


@pytest.mark.parametrize(
    ("glazing", "visible", "solar"), [("single", 0.89, 0.819), ("double", 0.80, 0.676)]
)
def test_the_librarys_panes_are_those(glazing, visible, solar):
    told = LIBRARY.glazings[glazing]
    assert told.visible_frac.value == pytest.approx(visible, abs=0.005)
    assert told.solar_frac.value == pytest.approx(solar, abs=0.005)
