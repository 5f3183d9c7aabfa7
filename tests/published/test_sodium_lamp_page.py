"""A trade page on sodium lamps: light sum = foot-candles x 0.00047 x hours."""

import pytest

from arbuscula import units
from arbuscula.science import light

pytestmark = pytest.mark.published


def test_400_fc_for_12_hours():
    """The page prints 2.3 mol; its factor has two figures, hence 2 %."""
    ppfd_umol_m2_s = light.ppfd_umol_m2_s(
        light_lux=units.lux_from_fc(400),
        lamp_umol_lux_s_m2=light.LAMPS_UMOL_LUX_S_M2["high-pressure sodium"],
    )
    light_mol_m2_d = light.lamp_light_mol_m2_d(ppfd_umol_m2_s=ppfd_umol_m2_s, lit_h=12)
    assert light_mol_m2_d == pytest.approx(2.3, rel=0.02)
