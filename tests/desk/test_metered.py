"""A reading at the leaf moves a bench, and all that is worked out from it."""

from dataclasses import replace
from datetime import time, timedelta

import pytest

from arbuscula.desk.bench import show_bench
from arbuscula.desk.followed import yarded_at
from arbuscula.desk.record import undo
from arbuscula.desk.today import today
from arbuscula.kinds.events import Measured, Reading, SetDown, Sort
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.ledger.book import append
from tests.desk.made_yard import BEGUN, NOW, desk_with, event, forecast, observe
from tests.desk.stair import rec

NOON = NOW - timedelta(days=1) + timedelta(hours=4)


@pytest.fixture
def desk(tmp_path):
    desk = desk_with(tmp_path, benches=("sill",))
    sill = Bench(
        yard="stair", name="Sill", exposure=Exposure.WINDOW, facing_deg=180.0, order_n=0
    )
    append(desk.ledger(), event("s", Sort.BENCH, "sill", sill, BEGUN))
    observe(desk)
    forecast(desk)
    return desk


def read(desk, umol, subject="sill", sort=Sort.BENCH, at=NOON, how="", *, lux=False):
    quantity = "light_lux" if lux else "ppfd_umol_m2_s"
    reading = Reading(quantity=quantity, value=umol, how=how)
    name = f"m-{subject}-{at}-{umol}"
    append(desk.ledger(), event(name, sort, subject, Measured(reading=reading), at))


def ratio(desk):
    return show_bench(desk, "Sill").light_ratio


def test_a_bench_nobody_read_has_no_ratio_and_is_asked_for_one(desk):
    assert ratio(desk) is None
    asked = [said.message_id for said in today(desk).notes]
    assert "light.ask_reading" in asked


def test_a_low_reading_darkens_the_months_and_is_no_longer_asked_for(desk):
    before = show_bench(desk, "Sill")
    read(desk, 40.0)
    after = show_bench(desk, "Sill")
    assert after.light_ratio.p10 < after.light_ratio.p50 < after.light_ratio.p90 < 1.2
    assert after.light_from == "meter"
    june = [answer.months[5].dli_mol_m2_d.p50 for answer in (before, after)]
    assert june[1] == pytest.approx(june[0] * after.light_ratio.p50, rel=1e-6)
    assert "light.ask_reading" not in [said.message_id for said in today(desk).notes]


def test_lux_under_the_sun_is_the_same_reading(desk):
    """54 lux of sunlight are one micromole (apogee)."""
    read(desk, 40.0 * 54, lux=True, how="sun")
    by_lux = ratio(desk)
    assert by_lux.p50 < 1
    read(desk, 40.0, at=NOON)
    assert ratio(desk).p50 < by_lux.p50


def test_a_reading_at_a_tree_is_one_of_the_bench_it_stood_on(desk):
    read(desk, 40.0, subject="sill-2", sort=Sort.TREE)
    before = ratio(desk)
    append(desk.ledger(), event("x", Sort.TREE, "sill-2", SetDown(bench="away"), NOW))
    assert ratio(desk) == before is not None


def test_a_reading_that_was_taken_back_counts_no_more(desk):
    (told,) = rec(desk, "Sill", "ppfd 40", at="2026-07-07T12:00").events
    assert ratio(desk) is not None
    undo(desk, told.id)
    assert ratio(desk) is None


def test_a_reading_in_the_dark_teaches_nothing(desk):
    read(desk, 1.0, at=NOON.replace(hour=22))
    assert ratio(desk) is None


def test_followed_trees_stand_in_the_light_that_was_read(desk):
    read(desk, 40.0)
    here = yarded_at(desk, None, NOW).benches["sill"]
    assert here.light_ratio == ratio(desk).p50
    assert (
        yarded_at(desk, None, NOON - timedelta(hours=2)).benches["sill"].light_ratio
        is None
    )


def test_a_snapshot_from_before_a_reading_is_not_used(tmp_path, desk):
    """Warm and cold come to the same, to the last digit."""
    today(desk)
    read(desk, 20.0)
    warm = today(desk)
    cold = today(replace(desk, home=tmp_path / "empty"))
    assert warm.benches == cold.benches


def width(spread):
    return spread.p90 / spread.p10


def test_lux_without_a_name_are_daylights_in_wider_doubt(desk):
    """A lux is worth 0.0122 under sodium to 0.0185 in the sun (apogee)."""
    (told,) = rec(desk, "Sill", "lux 2160", at="2026-07-07T12:00").events
    unnamed = show_bench(desk, "Sill")
    undo(desk, told.id)
    rec(desk, "Sill", "lux 2160 sun", at="2026-07-07T12:00")
    named = ratio(desk)
    assert named.p50 < unnamed.light_ratio.p50 < 1  # in doubt it moves less
    assert width(unnamed.light_ratio) > width(named)
    assert "bench.unnamed_lux" in [note.message_id for note in unnamed.notes]


def test_lux_of_no_known_lamp_are_taken_and_said_to_count_less(desk):
    answer = rec(desk, "Sill", "lux 900 led", at="2026-07-07T12:00")
    assert [note.message_id for note in answer.notes] == ["light.unnamed"]
    assert answer.notes[0].figures["least_lux"] == pytest.approx(54, abs=0.1)
    assert ratio(desk) is not None
    assert rec(desk, "Sill", "lux 900 led 0.0152").notes == ()
    assert rec(desk, "Sill", "ppfd 40").notes == ()


@pytest.fixture
def shelf(desk):
    lamp = {"ppfd_umol_m2_s": 150.0, "lit_h": 14.0, "lit_from": time(6)}
    noun = Bench(yard="stair", name="Shelf", exposure=Exposure.LAMP, **lamp)
    append(desk.ledger(), event("l", Sort.BENCH, "shelf", noun, BEGUN))
    return desk


def test_a_reading_under_a_lamp_dims_the_lamp(shelf):
    before = show_bench(shelf, "Shelf")
    read(shelf, 90.0, subject="shelf")
    after = show_bench(shelf, "Shelf")
    assert 0.6 < after.light_ratio.p50 < 0.85
    winter = [answer.months[11].dli_mol_m2_d.p50 for answer in (before, after)]
    assert winter[1] == pytest.approx(winter[0] * after.light_ratio.p50, rel=1e-6)
    here = yarded_at(shelf, None, NOW).benches["shelf"]
    assert here.ppfd_umol_m2_s == pytest.approx(150.0 * after.light_ratio.p50)


def test_a_reading_while_the_lamp_is_off_teaches_nothing(shelf):
    read(shelf, 5.0, subject="shelf", at=NOON.replace(hour=22))
    assert show_bench(shelf, "Shelf").light_ratio is None


def test_lux_under_a_lamp_without_a_name_are_any_lamps(shelf):
    """The middle of the table is 0.015 umol for a lux, a fifth under the sun's."""
    read(shelf, 150.0 / 0.015, subject="shelf", lux=True)
    assert show_bench(shelf, "Shelf").light_ratio.p50 == pytest.approx(1, abs=1e-6)
