"""Light: laws that hold whatever the numbers."""

import pytest

from arbuscula import units
from arbuscula.science import light


@pytest.mark.parametrize("lamp", light.LAMPS_UMOL_LUX_S_M2)
def test_lux_and_back(lamp):
    factor = light.LAMPS_UMOL_LUX_S_M2[lamp]
    lux = light.light_lux(ppfd_umol_m2_s=180.0, lamp_umol_lux_s_m2=factor)
    ppfd_umol_m2_s = light.ppfd_umol_m2_s(light_lux=lux, lamp_umol_lux_s_m2=factor)
    assert ppfd_umol_m2_s == pytest.approx(180, rel=1e-12)  # float width


def test_a_foot_candle_is_a_lumen_on_a_square_foot():
    # A foot is 0.3048 m by definition; ours is written to eleven figures.
    assert units.lux_from_fc(1.0) == pytest.approx(1 / 0.3048**2, rel=1e-10)
    assert units.fc_from_lux(units.lux_from_fc(250.0)) == pytest.approx(250, rel=1e-12)


def test_a_steady_sun_of_a_day_is_the_days_light_sum():
    """250 W/m2 for 24 h are 21.6 MJ/m2."""
    ppfd_umol_m2_s = light.sun_ppfd_umol_m2_s(250.0)
    day = light.lamp_light_mol_m2_d(ppfd_umol_m2_s=ppfd_umol_m2_s, lit_h=24.0)
    assert day == pytest.approx(light.sun_light_mol_m2_d(21.6), rel=1e-12)


def test_the_same_lux_feed_a_leaf_more_under_the_sun_than_under_sodium():
    sun, sodium = (
        light.ppfd_umol_m2_s(
            light_lux=10_000.0, lamp_umol_lux_s_m2=light.LAMPS_UMOL_LUX_S_M2[lamp]
        )
        for lamp in ("sun", "high-pressure sodium")
    )
    assert sun > 1.4 * sodium
