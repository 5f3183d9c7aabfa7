"""De Boodt, Verdonck (1972), Acta Hort. 26:37: definitions of pore shares.

The curve is our own; 10 hPa, 10.2 cm, is taken as 10 cm. Their "ideal" ranges
are nowhere in the code: Londra et al. (2018) had plants grow best outside them.
"""

import pytest

from arbuscula.science import retention
from tests.media import van_genuchten

pytestmark = pytest.mark.published


def test_pore_shares_of_a_wet_set():
    """Printed to .001."""
    shares = retention.pore_shares(van_genuchten(0.87, 0.10, 0.10, 1.6))
    assert shares.total_frac == pytest.approx(0.87, abs=0.0005)
    assert shares.air_frac == pytest.approx(0.176, abs=0.0005)
    assert shares.easy_frac == pytest.approx(0.309, abs=0.0005)
    assert shares.buffer_frac == pytest.approx(0.094, abs=0.0005)
    assert shares.tight_frac == pytest.approx(0.292, abs=0.0005)
