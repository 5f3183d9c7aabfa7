"""Bulle, de Jongh 2001, abstract: shade before the dark, in Ficus benjamina."""

from pathlib import Path

import pytest

from arbuscula.kinds.moving import LightMove
from arbuscula.rules.moving_in import shade_told, steps_in
from arbuscula.start import desk_at

pytestmark = pytest.mark.published

DOSE = desk_at(Path("not-needed")).library().moving.dose
FELL_FRAC = {3: (0.268, 0.406), 21: (0.259, 0.101)}  # days: untreated, shaded


@pytest.mark.parametrize("shaded_d", FELL_FRAC)
def test_a_treatment_is_praised_where_it_saved_leaves_and_blamed_where_it_cost(
    shaded_d,
):
    untreated, shaded = FELL_FRAC[shaded_d]
    message = shade_told(float(shaded_d), DOSE).message_id
    assert (message == "moved.shaded") == (shaded < untreated)
    assert (message == "moved.too_short") == (shaded > untreated)


@pytest.mark.parametrize("left_d", range(60))
def test_no_plan_ever_holds_the_treatment_that_was_worse_than_none(left_d):
    move = LightMove(here_mol_m2_d=20.0, there_mol_m2_d=0.6, left_d=float(left_d))
    shaded = [step.lasts_d for step in steps_in(move, DOSE) if step.lasts_d]
    assert all(lasts_d >= 21 for lasts_d in shaded)
