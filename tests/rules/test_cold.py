"""Who must come in tonight, who may go out again, and in which order."""

from dataclasses import replace

import pytest

from arbuscula.kinds.round import NightView
from arbuscula.kinds.values import Spread
from arbuscula.rules.cold import bring_in, go_out, worst_first


def night(warn, damage, **more):
    usual = NightView(
        key="fig",
        warn_below_c=10.0,
        damage_below_c=0.0,
        warn_frac=warn,
        damage_frac=damage,
        low_c=Spread(p10=7.0, p50=8.5, p90=10.5),
        below_h=Spread(p10=0.0, p50=3.0, p90=6.0),
    )
    return replace(usual, **more)


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


def test_roots_that_may_freeze_bring_in_a_tree_whose_crown_bears_it():
    cold = {"roots_below_c": -10.0, "roots_low_c": -11.0}
    assert bring_in(night(0.0, 0.0, **cold, roots_frac=0.1)).message_id == "cold.roots"
    assert bring_in(night(0.0, 0.0, **cold, roots_frac=0.09)) is None
    assert bring_in(night(0.0, 0.0, roots_frac=0.5)) is None  # no such line is known


def test_a_tree_goes_out_when_all_known_nights_are_mild_and_not_before():
    mild, cool = night(0.04, 0.0), night(0.08, 0.0)
    assert go_out([mild, mild], at_most_frac=0.05).message_id == "cold.go_out"
    assert go_out([mild, cool], at_most_frac=0.05) is None
    assert bring_in(cool) is None  # it would not be brought in either
    assert go_out([], at_most_frac=0.05) is None


def test_what_would_be_lost_is_carried_first():
    damaged, long_cold, brief = (
        night(1.0, 0.3),
        night(1.0, 0.0, below_h=Spread(p10=5.0, p50=9.0, p90=11.0)),
        night(0.2, 0.0),
    )
    assert sorted([brief, long_cold, damaged], key=worst_first) == [
        damaged,
        long_cold,
        brief,
    ]
