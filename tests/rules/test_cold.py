import pytest

from arbuscula.kinds.round import NightView
from arbuscula.kinds.values import Spread
from arbuscula.rules.cold import bring_in


def night(warn, damage):
    return NightView(
        key="fig",
        warn_below_c=10.0,
        damage_below_c=0.0,
        warn_frac=warn,
        damage_frac=damage,
        low_c=Spread(p10=7.0, p50=8.5, p90=10.5),
    )


@pytest.mark.parametrize(
    ("warn", "damage", "message"),
    [
        (0.1, 0.0, "cold.warn"),
        (0.09, 0.0, None),
        (0.05, 0.02, "cold.damage"),
        (0.09, 0.019, None),
    ],
)
def test_one_in_ten_under_the_floor_or_one_in_fifty_under_the_line(
    warn, damage, message
):
    said = bring_in(night(warn, damage))
    assert (said and said.message_id) == message
