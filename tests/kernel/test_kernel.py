"""The kernel and its reference are one text: what they say may differ by rounding.

Tolerances are the width of the numbers: a millionth of a millimetre over the
pot's top for 64 bits, a thousandth for 32, after thirty days.
"""

import os
import subprocess
import sys
from dataclasses import fields, replace
from pathlib import Path

import llvmlite
import numba
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from arbuscula.kernel import lanes as lanes_text
from arbuscula.kernel import twins
from arbuscula.kernel.carrier import carrier_in
from arbuscula.kernel.kept import (
    ENTRY,
    TWINS,
    compiled_in,
    kernel_sources,
    key_of,
    rests_on,
)
from arbuscula.kernel.text import widened
from arbuscula.kinds.said import ArbusculaError
from arbuscula.kinds.water import PotWater
from arbuscula.science.water import balance, lanes
from arbuscula.science.water.lanes import Lanes, Skies, carried
from arbuscula.start import FAST_FROM_N, KERNEL, desk_at
from bench.kernel import farthest_mm, made_lanes, made_skies
from tests.property.test_balance import balls, holdings

MOST_APART_MM = {"float64": 1e-6, "float32": 1e-3}
THIRTY_DAYS_H = 720
TREES_N = 150  # more than two blocks, and the third is not full
TREES = made_lanes(TREES_N)
LINES = np.stack([np.full(TREES_N, 0.45), np.full(TREES_N, 0.2)])
NO_LINES = LINES[:0]


@pytest.fixture(scope="module", params=MOST_APART_MM)
def width(request):
    return request.param


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("compiled")


@pytest.fixture(scope="module")
def compiled(folder):
    return lambda width: carrier_in(folder, width=width)


def test_thirty_days_end_alike(compiled, width):
    skies = made_skies(THIRTY_DAYS_H)
    plain, fast = (c(TREES, skies, LINES) for c in (carried, compiled(width)))
    top_cm2 = TREES.ball.top_area_cm2
    assert farthest_mm(fast, plain, top_cm2) < MOST_APART_MM[width]
    apart_mm = fast.water.surface_depletion_mm - plain.water.surface_depletion_mm
    assert np.abs(apart_mm).max() < MOST_APART_MM[width]
    apart_mm = (fast.water.canopy_ml - plain.water.canopy_ml) / top_cm2 * 10
    assert np.abs(apart_mm).max() < MOST_APART_MM[width]
    assert fast.cut_frac == pytest.approx(plain.cut_frac, rel=1e-12)
    # the rates moved: pots dried, were stressed, and were rained on
    assert np.ptp(plain.water.water_ml) > 100


def test_lines_are_passed_at_the_same_time(compiled, width):
    """A line crossed by a hair may be seen an hour late: one in ten thousand may."""
    skies = made_skies(10 * 24)
    plain, fast = (c(TREES, skies, LINES).passed_h for c in (carried, compiled(width)))
    both = np.isfinite(plain) & np.isfinite(fast)
    assert np.mean(np.isinf(plain) != np.isinf(fast)) < 1e-4
    assert both.any(axis=(1, 2)).all()
    assert np.mean(np.abs(fast[both] - plain[both]) > 0.01) < 1e-4


def test_every_lane_may_have_a_sky_of_its_own(compiled):
    """As many yards of one tree do not need as many calls."""
    skies = made_skies(72, skies_n=TREES_N)
    yards = replace(TREES, sky=np.random.default_rng(5).permutation(TREES_N))
    plain, fast = (c(yards, skies, NO_LINES) for c in (carried, compiled("float64")))
    assert farthest_mm(fast, plain, TREES.ball.top_area_cm2) < MOST_APART_MM["float64"]


def test_members_may_share_their_weather(compiled):
    """One rain for all, one sun for each, as when one forecast is the only one."""
    skies = made_skies(72)
    shared = replace(skies, rain_mm=skies.rain_mm[:, :1] + 0.1)
    plain, fast = (c(TREES, shared, NO_LINES) for c in (carried, compiled("float64")))
    assert farthest_mm(fast, plain, TREES.ball.top_area_cm2) < MOST_APART_MM["float64"]


def test_two_parts_are_one_whole(compiled, width):
    carry, skies = compiled(width), made_skies(48)
    half = [_hours(skies, slice(0, 24)), _hours(skies, slice(24, 48))]
    first = carry(TREES, half[0], NO_LINES)
    then = replace(TREES, water=first.water, cut_frac=first.cut_frac)
    whole, parts = carry(TREES, skies, NO_LINES), carry(then, half[1], NO_LINES)
    # what is cut grows back by a power in one, by two in the other
    apart_mm = farthest_mm(whole, parts, TREES.ball.top_area_cm2)
    assert apart_mm < MOST_APART_MM[width] / 10


def _hours(skies, which):
    return Skies(**{f.name: getattr(skies, f.name)[which] for f in fields(Skies)})


def test_what_came_in_is_left_as_it_was(compiled):
    before = TREES.water.water_ml.copy()
    compiled("float32")(TREES, made_skies(24), LINES)
    assert np.array_equal(TREES.water.water_ml, before)


def test_a_gap_in_gives_a_gap_out(compiled):
    skies = made_skies(24)
    gap_mm = skies.surface_mm.copy()
    gap_mm[12, :, 2] = np.nan
    fast = compiled("float32")(TREES, replace(skies, surface_mm=gap_mm), NO_LINES)
    there = TREES.sky == 2
    assert np.isnan(fast.water.water_ml[:, there]).all()
    assert np.isfinite(fast.water.water_ml[:, ~there]).all()


@given(st.data(), st.floats(0, 900), st.floats(0, 2), st.floats(0, 60))
def test_any_pot_in_any_hour(compiled, data, leaf_ml, surface_mm, rain_mm):
    ball = data.draw(balls())
    water = data.draw(holdings(ball))
    one = np.ones((1, 1))
    pot = Lanes(
        ball=type(ball)(**{f.name: getattr(ball, f.name) * one for f in fields(ball)}),
        water=PotWater(**{f.name: getattr(water, f.name) * one for f in fields(water)}),
        leaf_m2=one[0],
        cut_frac=0 * one[0],
        wall_cm2=100 * one[0],
        demand_ratio=one,
        surface_ratio=one,
        wall_ratio=one,
        day_ratio=one,
        sky=np.array([0]),
    )
    asked = {"leaf_ml_m2": leaf_ml, "surface_mm": surface_mm, "rain_mm": rain_mm}
    skies = Skies(**{name: np.full((1, 1, 1), sum_) for name, sum_ in asked.items()})
    told = [c(pot, skies, np.zeros((0, 1))) for c in (carried, compiled("float64"))]
    assert farthest_mm(*told, ball.top_area_cm2) < MOST_APART_MM["float64"]


@given(st.floats(0, 1e6))
def test_the_twin_of_a_decay(lifetimes):
    """Its series ends where 64 bits do, but for the last three of them."""
    said = twins.lost_frac(lifetimes)
    assert said == pytest.approx(balance.lost_frac(lifetimes), rel=1e-13, abs=1e-300)


def test_the_slots_are_the_terms_in_their_order():
    scratch = np.arange(lanes_text.SCRATCH_N) / lanes_text.BLOCK_N
    terms = lanes_text.terms_at(scratch, 0)
    slots = [getattr(terms, f.name) for f in fields(balance.Terms)]
    assert slots == list(range(lanes_text.TERMS_N))


def test_the_key_is_over_every_source_constant_and_version():
    parts = rests_on("float32")
    names = {"/".join(Path(name).parts[-2:]) for name in parts}
    reached = {"water/balance.py", "kinds/water.py", "kernel/twins.py"}
    assert names >= reached | {"kernel/lanes.py", "kernel/text.py", "kernel/kept.py"}
    said = parts["constants"].decode()
    assert f"SMALLEST_ML {balance.SMALLEST_ML!r}" in said
    assert f"SMALLEST_FALL_FRAC {lanes.SMALLEST_FALL_FRAC!r}" in said
    assert parts["numba"].decode() == numba.__version__
    assert parts["llvmlite"].decode() == llvmlite.__version__


def test_every_function_that_is_compiled_has_its_source_in_the_key():
    """Told by the reading itself, which keeps each function that it compiles."""
    known = dict(TWINS)
    widened(ENTRY, "float32", known)
    read = {*known, *TWINS.values(), ENTRY}
    assert len(read) > 15
    assert {Path(f.__code__.co_filename) for f in read} <= kernel_sources()


def test_whatever_changes_names_another_folder():
    parts = rests_on("float32")
    keys = {key_of(parts | {name: parts[name] + b" "}) for name in parts}
    assert len(keys | {key_of(parts)}) == len(parts) + 1


def test_what_was_compiled_once_is_found_again(folder, compiled):
    compiled("float32")(TREES, made_skies(1), NO_LINES)
    again = compiled_in.__wrapped__(folder, "float32")
    before = compiled_in(folder, "float32")
    signature = before.nopython_signatures[0].args
    again.compile(signature)
    assert sum(again.stats.cache_hits.values()) == 1


def test_a_small_yard_is_carried_by_numpy_and_a_large_one_is_not(tmp_path):
    carry = desk_at(tmp_path).carry
    assert carry(FAST_FROM_N - 1) is carried
    assert carry(FAST_FROM_N) is not carried


def test_the_wish_for_one_of_them_is_heard(tmp_path, monkeypatch):
    carry = desk_at(tmp_path).carry
    monkeypatch.setenv(KERNEL, "numpy")
    assert carry(FAST_FROM_N) is carried
    monkeypatch.setenv(KERNEL, "compiled")
    assert carry(1) is not carried
    monkeypatch.setenv(KERNEL, "quick")
    with pytest.raises(ArbusculaError):
        carry(1)


@pytest.mark.slow
def test_who_asks_for_it_and_lacks_numba_is_told_what_to_do(tmp_path):
    without = (
        "import sys; sys.modules['numba'] = None\n"
        "from arbuscula.start import main; main()"
    )
    env = os.environ | {"ARBUSCULA_HOME": str(tmp_path), KERNEL: "compiled"}
    run = [sys.executable, "-c", without]
    add = subprocess.run(
        [*run, "yard", "add", "Stair", "--at", "45.7,13.8"], env=env, check=False
    )
    done = subprocess.run(
        [*run, "today"], env=env, capture_output=True, text=True, check=False
    )
    assert add.returncode == 0
    assert "pip install 'arbuscula[fast]'" in done.stderr
    assert done.returncode == 2
