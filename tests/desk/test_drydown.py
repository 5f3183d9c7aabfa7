"""The whole case, from files to an answer."""

import re
import shutil
from pathlib import Path

import numpy as np
import pytest

from arbuscula.desk.answers import data
from arbuscula.desk.drydown import drydown
from arbuscula.start import open_desk

CASE = Path(__file__).parents[2] / "examples/bench-fig"
CASE_FILE = CASE / "case.toml"
DESK = open_desk()


@pytest.fixture
def case(tmp_path):
    """Return a copy of the example, and a way to change its words."""
    shutil.copytree(CASE, tmp_path / "case")
    path = tmp_path / "case/case.toml"

    def changed(**lines):
        text = path.read_text()
        for key, line in lines.items():
            text, n = re.subn(rf"(?m)^{key} = .*$", line, text)
            assert n == 1, key
        path.write_text(text)
        return path

    return changed


def test_the_example_beats_both_naive_forecasts():
    """A watered pot with made data: the bar that real data must pass too."""
    score = drydown(DESK, CASE_FILE).score
    for horizon in score.horizons:
        naive = min(horizon.yesterday_error_frac, horizon.mean_error_frac)
        assert horizon.model_error_frac < naive
    assert score.covered_frac > 0.5


def test_due_lies_before_late_and_members_are_in_order():
    answer = drydown(DESK, CASE_FILE)
    due, late = answer.due, answer.late
    assert answer.forecast_from < due.p10 <= due.p50 <= due.p90
    assert due.p50 < late.p50
    assert answer.usable_ml.p50 < answer.capacity_ml.p50


def test_doubling_the_leaves_brings_due_forward(case):
    for weights in ('weights = "weights.csv"', ""):
        usual = drydown(DESK, case(weights=weights) if not weights else CASE_FILE)
        leafy = drydown(DESK, case(leaf_area_m2="leaf_area_m2 = 0.5"))
        assert leafy.due.p10 < usual.due.p10
        assert leafy.due.p50 < usual.due.p50
        case(leaf_area_m2="leaf_area_m2 = 0.25")


def test_without_weights_the_start_is_unknown_and_mass_is_not_told(case):
    answer = drydown(DESK, case(weights="", waterings=""))
    assert answer.score is None
    assert answer.hours[0].mass_g is None
    assert answer.due.p50 == answer.forecast_from  # half of them are dry already
    assert answer.due.p90 > answer.forecast_from


def test_with_waterings_alone_the_start_is_as_wet_as_they_left_it(case):
    answer = drydown(DESK, case(weights=""))
    assert answer.due.p10 > answer.forecast_from
    assert answer.hours[0].mass_g is None


def test_rises_stand_in_for_waterings_and_are_said(case):
    answer = drydown(DESK, case(waterings=""))
    rises = [n for n in answer.notes if n.message_id == "drydown.rise"]
    assert len(rises) == 20
    written = drydown(DESK, CASE_FILE)
    at = [a.due.p50.timestamp() for a in (answer, written)]
    assert abs(at[0] - at[1]) < 4 * 3600


def test_the_horizon_ends_where_the_weather_ends(case):
    answer = drydown(DESK, case(horizon_h="horizon_h = 400"))
    assert answer.horizon_h == pytest.approx(136)
    assert answer.score.horizons[-1].model_error_frac is not None
    short = drydown(DESK, case(horizon_h="horizon_h = 30"))
    assert short.score.horizons[1].model_error_frac is None


def test_mass_falls_by_what_was_lost_until_water_is_given():
    answer = drydown(DESK, CASE_FILE)
    first, later = answer.hours[0], answer.hours[9]
    fall = first.mass_g.p50 - later.mass_g.p50
    assert fall == pytest.approx(later.lost_ml.p50 - first.lost_ml.p50, abs=6)


def test_the_same_case_gives_the_same_answer():
    one, two = (data(drydown(DESK, CASE_FILE)) for _ in range(2))
    assert one == two


@pytest.mark.parametrize("offset", ["+02:00", "-05:00", "+13:45"])
def test_another_offset_is_the_same_moment(case, offset):
    from datetime import datetime

    usual = drydown(DESK, CASE_FILE)
    moved = usual.forecast_from.astimezone(
        datetime.fromisoformat(f"2026-01-01T00:00:00{offset}").tzinfo
    )
    answer = drydown(DESK, case(forecast_from=f"forecast_from = {moved.isoformat()}"))
    assert answer.due.p50 == usual.due.p50
    assert answer.due.p50.utcoffset() == moved.utcoffset()


def test_a_southern_yard_is_no_trouble(case):
    answer = drydown(DESK, case(latitude_deg="latitude_deg = -34.0"))
    assert np.isfinite(answer.hours[-1].lost_ml.p50)
