"""Santos Coello, Rios Mesa (2023), Horticulturae 9:414: 32 volcanic tuffs.

Read as an abstract: coarse tuffs have an aeration over 35 % and under 5 % of
easily available water. The library's lava was not fitted to them.
"""

import pytest

from arbuscula.science import retention
from tests.substrates import library_substrates

pytestmark = pytest.mark.published


def test_coarse_lava_is_airy_and_gives_little_easily():
    lava = retention.substrate_curve(library_substrates()["lava"])
    shares = retention.pore_shares(lava)
    assert shares.air_frac > 0.35
    assert shares.easy_frac < 0.05
