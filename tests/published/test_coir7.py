"""Coir dust, seven sources (Rev. Fitotecnia Mexicana): ranges of what they held.

Read as an abstract; the curve was fitted to middles, so that this says no more
than that it lies within what was measured.
"""

import pytest

from arbuscula.science import retention
from tests.substrates import library_substrates

pytestmark = pytest.mark.published
COIR = retention.substrate_curve(library_substrates()["coir"])


@pytest.mark.parametrize(
    ("share", "least_pct", "most_pct"),
    [("air_frac", 11, 53), ("easy_frac", 18, 35), ("buffer_frac", 3, 14)],
)
def test_air_and_water_lie_within_seven_sources(share, least_pct, most_pct):
    """The ranges themselves are the tolerance."""
    found_pct = 100 * getattr(retention.pore_shares(COIR), share)
    assert least_pct <= found_pct <= most_pct
