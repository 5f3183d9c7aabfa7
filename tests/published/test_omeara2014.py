"""O'Meara, Chappell, van Iersel (2014), HortScience 49:493: bark, two shrubs.

Read: two points of the bark's curve, and the water contents at which Hydrangea
and Gardenia start to use less and stop. Capacity, .38 to .50, is our range.
"""

import pytest

from arbuscula.kinds.water import Ball
from arbuscula.science import retention
from arbuscula.science.water.balance import usable_frac
from tests.substrates import library_substrates

pytestmark = pytest.mark.published

BARK = retention.substrate_curve(library_substrates()["pine-bark"])


def litre(*, capacity_ml, stop_ml):
    others = (name for name in Ball.__dataclass_fields__ if name[-3:] != "_ml")
    unused = dict.fromkeys(others, 1.0)
    return Ball(capacity_ml=capacity_ml, stop_ml=stop_ml, canopy_store_ml=0.0, **unused)


@pytest.mark.parametrize(("suction_cm", "held_frac"), [(40.8, 0.38), (703.6, 0.17)])
def test_the_library_s_bark_passes_both_points(suction_cm, held_frac):
    """4.0 and 69 kPa. Printed to .01; the set is exact to .001."""
    found_frac = retention.water_frac(BARK, suction_cm)
    assert found_frac == pytest.approx(held_frac, abs=0.001)


@pytest.mark.parametrize(
    ("start_frac", "stop_frac", "capacity_frac", "left_frac"),
    [
        (0.28, 0.16, 0.38, 0.55),
        (0.28, 0.16, 0.50, 0.35),
        (0.20, 0.12, 0.38, 0.31),
        (0.20, 0.12, 0.50, 0.21),
    ],
)
def test_use_falls_when_this_much_of_the_usable_water_is_left(
    start_frac, stop_frac, capacity_frac, left_frac
):
    """A litre of bark. Printed to .01."""
    ball = litre(capacity_ml=1000 * capacity_frac, stop_ml=1000 * stop_frac)
    found_frac = usable_frac(1000 * start_frac, ball)
    assert found_frac == pytest.approx(left_frac, abs=0.01)
