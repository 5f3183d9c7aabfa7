"""Bulle, de Jongh (2001), Acta Horticulturae 543:113-115: shade before the dark.

F. benjamina: after three days of shade 40.6 % of the leaves fell against 26.8 %
untreated, after three weeks 10.1 % against 25.9 %. The trial is of moving in.
"""

import pytest

from tests.jobs import LIBRARY, against, verdict

pytestmark = pytest.mark.published


@pytest.mark.parametrize(("days", "said"), [(None, "yes"), (3, "not yet"), (21, "yes")])
def test_three_weeks_of_shade_or_none_never_three_days(days, said):
    shaded_d = None if days is None else float(days)
    assert verdict("move-in", group="benjamina fig", shaded_d=shaded_d) == said
    assert ("may.shade_short" in against("move-in", shaded_d=shaded_d)) == (
        said == "not yet"
    )


def test_one_quiet_week_is_not_the_end_of_it():
    """J. Environ. Hort. 5:102 (1987): leaves fall in two or three waves in 12 weeks."""
    looks = [
        a for a in LIBRARY.techniques["move-in"].aftercare if a.job == "look_by_hand"
    ]
    assert looks[0].to_d.value == 12 * 7
