"""Poorter et al. (2012), Functional Plant Biology 39:839. Read as an abstract."""

import pytest

from arbuscula.science.roots import pot_growth_ratio

pytestmark = pytest.mark.published


@pytest.mark.parametrize(("volume", "change"), [(2, 0.43), (4, 1.04), (0.5, -0.30)])
def test_twice_the_pot_brings_43_percent_more(volume, change):
    """Twice is read; the others follow by the same power. Printed to a percent."""
    assert pot_growth_ratio(volume) - 1 == pytest.approx(change, abs=0.01)
