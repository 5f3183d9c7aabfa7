"""CTAHR Horticulture Digest 103: air layers of F. benjamina root in 4 to 6 weeks."""

import pytest

from tests.jobs import LIBRARY, judged

pytestmark = pytest.mark.published


def test_roots_of_a_layer_are_looked_for_from_four_weeks_on():
    """Read; the trade waits up to eight weeks."""
    care = LIBRARY.techniques["air-layer"].aftercare
    (look,) = (a for a in care if a.job == "look_for_roots")
    assert look.from_d.value == 4 * 7
    assert look.to_d.low == 6 * 7
    assert look.to_d.value == 8 * 7


def test_its_terms_say_where_they_come_from():
    reasons = judged("air-layer", group="benjamina fig").because
    assert "ctahr103" in {reason.source for reason in reasons}
