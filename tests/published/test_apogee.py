"""Apogee Instruments: tables of PPFD, lux and foot-candles.

The makers print two or three figures, and their lux and foot-candle tables
differ by up to 0.2 %.
"""

import pytest

from arbuscula import units
from arbuscula.science import light

pytestmark = pytest.mark.published

SUN = light.LAMPS_UMOL_LUX_S_M2["sun"]
TUBE = light.LAMPS_UMOL_LUX_S_M2["cool white tube"]


def fc_of(ppfd_umol_m2_s, lamp_umol_lux_s_m2):
    lux = light.light_lux(
        ppfd_umol_m2_s=ppfd_umol_m2_s, lamp_umol_lux_s_m2=lamp_umol_lux_s_m2
    )
    return units.fc_from_lux(lux)


def test_full_sun_in_lux_and_foot_candles():
    """2000 umol, 108,000 lux, 10,020 fc; 0.2 % lie between the two tables."""
    lux = light.light_lux(ppfd_umol_m2_s=2000, lamp_umol_lux_s_m2=SUN)
    assert lux == pytest.approx(108_000, rel=0.002)
    assert fc_of(2000, SUN) == pytest.approx(10_020, rel=0.002)


@pytest.mark.parametrize("shown_lux", [108_000, units.lux_from_fc(10_020)])
def test_full_sun_and_back(shown_lux):
    """0.2 % lie between the two tables."""
    ppfd = light.ppfd_umol_m2_s(light_lux=shown_lux, lamp_umol_lux_s_m2=SUN)
    assert ppfd == pytest.approx(2000, rel=0.002)


def test_200_umol_of_sun_are_10800_lux():
    """Erratum: the maker's table prints 40,800 between 5,400 and 16,200."""
    lux = light.light_lux(ppfd_umol_m2_s=200, lamp_umol_lux_s_m2=SUN)
    assert lux == pytest.approx(10_800, rel=1e-12)  # float width


def test_1000_umol_in_foot_candles():
    """5010 of sun, 6870 of a tube; 0.2 % lie between the two tables."""
    assert fc_of(1000, SUN) == pytest.approx(5010, rel=0.002)
    assert fc_of(1000, TUBE) == pytest.approx(6870, rel=0.002)


@pytest.mark.parametrize(
    ("lamp", "printed"),
    [
        ("sun", 0.0185),
        ("cool white tube", 0.0135),
        ("high-pressure sodium", 0.0122),
        ("double-ended sodium", 0.0130),
        ("metal halide", 0.0141),
        ("ceramic metal halide 942", 0.0154),
        ("ceramic metal halide 930", 0.0170),
    ],
)
def test_photons_to_a_lux_by_lamp(lamp, printed):
    """Printed to 0.0001; the last line is rounded up from 0.01695."""
    assert light.LAMPS_UMOL_LUX_S_M2[lamp] == pytest.approx(printed, abs=5.1e-5)


@pytest.mark.parametrize(("fc", "ppfd_umol_m2_s"), [(75, 11), (150, 22)])
def test_interior_light_under_a_tube(fc, ppfd_umol_m2_s):
    """Computed from the printed factor 0.146, told in whole umol."""
    lux = units.lux_from_fc(fc)
    ppfd = light.ppfd_umol_m2_s(light_lux=lux, lamp_umol_lux_s_m2=TUBE)
    assert ppfd == pytest.approx(ppfd_umol_m2_s, abs=0.5)
