"""Interior trials of foliage plants: what their light came to in a day.

Abstracts give photons and hours; the sums are arithmetic, told in two figures.
"""

import numpy as np
import pytest

from arbuscula.science import light

pytestmark = pytest.mark.published


def test_a_year_indoors_at_12_hours():
    """12 and 20 umol of a maintenance trial, 16 of a test room."""
    ppfd_umol_m2_s = np.array([12, 16, 20])
    sums = light.lamp_light_mol_m2_d(ppfd_umol_m2_s=ppfd_umol_m2_s, lit_h=12)
    assert sums == pytest.approx([0.52, 0.69, 0.86], abs=0.005)


def test_the_room_after_the_dark_trial():
    """Bulle and de Jongh 2001, Acta Hort. 543:113: 14 umol for 12 h."""
    light_mol_m2_d = light.lamp_light_mol_m2_d(ppfd_umol_m2_s=14, lit_h=12)
    assert light_mol_m2_d == pytest.approx(0.605, abs=0.001)
