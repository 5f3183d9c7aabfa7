"""Two rules of moving, never mixed: into less light, and into more."""

from pathlib import Path

import pytest

from arbuscula.kinds.moving import LightMove
from arbuscula.rules.moving_in import is_into_less, shade_told, steps_in, why_in
from arbuscula.rules.moving_out import is_into_more, steps_out
from arbuscula.start import desk_at

DOSE = desk_at(Path("not-needed")).library().moving.dose


def into(here, there, left_d=None):
    return LightMove(here_mol_m2_d=here, there_mol_m2_d=there, left_d=left_d)


@pytest.mark.parametrize("left_d", [None, 21.0, 60.0])
def test_into_less_light_it_has_the_whole_dose_of_shade(left_d):
    move = into(30.0, 3.0, left_d)
    shade, last = steps_in(move, DOSE)
    assert (shade.lasts_d, shade.light_mol_m2_d) == (21, 15.0)
    assert (last.from_d, last.light_mol_m2_d) == (21, 3.0)
    assert why_in(move, DOSE).message_id == "move.shade_first"


@pytest.mark.parametrize("left_d", [0.0, 3.0, 20.0])
def test_or_none_at_all_never_a_few_days(left_d):
    move = into(30.0, 3.0, left_d)
    (only,) = steps_in(move, DOSE)
    assert (only.from_d, only.lasts_d) == (0, None)
    assert why_in(move, DOSE).figures["left_d"] == left_d


def test_out_it_goes_to_shade_first_and_never_straight_into_the_sun():
    steps = steps_out(into(2.0, 40.0), DOSE)
    lights = [step.light_mol_m2_d for step in steps]
    assert lights == sorted(lights)
    assert lights[0] <= 40.0 / 3
    assert lights[-1] == 40.0
    assert [step.from_d for step in steps] == [0, 5, 9, 14]
    assert steps[-1].lasts_d is None


def test_a_step_out_is_never_darker_than_where_it_came_from():
    assert steps_out(into(20.0, 40.0), DOSE)[0].light_mol_m2_d == 20.0


@pytest.mark.parametrize(
    ("here", "there", "less", "more"),
    [(30.0, 3.0, True, False), (3.0, 30.0, False, True), (10.0, 11.0, False, False)],
)
def test_each_move_is_of_one_sort_at_most(here, there, less, more):
    move = into(here, there)
    assert (is_into_less(move, DOSE), is_into_more(move, DOSE)) == (less, more)


@pytest.mark.parametrize(
    ("shaded_d", "message"),
    [(0.0, "moved.unshaded"), (3.0, "moved.too_short"), (21.0, "moved.shaded")],
)
def test_what_was_done_is_told_as_what_it_was_worth(shaded_d, message):
    assert shade_told(shaded_d, DOSE).message_id == message
