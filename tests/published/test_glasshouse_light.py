"""How much of the daylight comes into a glasshouse, as extension pages tell.

purdue238: 35 to 70 % of the light outside (from memory). Trade pages: about half.
"""

import pytest

from arbuscula.kinds.place import Exposure
from tests.microclimate.benches import bench, light_mol_m2_d, rows_on, weather

pytestmark = [pytest.mark.published, pytest.mark.recalled]


@pytest.mark.parametrize("day", ["2026-06-21", "2026-12-21"])
@pytest.mark.parametrize("cover", ["horticultural", "polycarbonate", "film"])
def test_half_to_two_thirds_of_the_light_comes_in(day, cover):
    told = weather(day, mean_c=12.0)
    house = bench(Exposure.GLASSHOUSE, cover=cover)
    share = light_mol_m2_d(rows_on(told, house)) / light_mol_m2_d(told)
    assert 0.35 <= share <= 0.70
