"""Who stands where on which day, and how it went. All of it is invented."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest

from arbuscula.desk.moves import move, tree_moves
from arbuscula.desk.today import today
from arbuscula.kinds.events import LeavesDropping, SetDown, Sort
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.tree import Tree
from arbuscula.ledger.book import append
from tests.desk.made_yard import BEGUN, NOW, desk_with, event
from tests.desk.stair import faults


def bench(desk, key, exposure, **said):
    noun = Bench(yard="stair", name=key.title(), exposure=exposure, **said)
    told = event(f"b-{key}-{said}", Sort.BENCH, key, noun, BEGUN)
    append(desk.ledger(), told)


@pytest.fixture
def desk(tmp_path):
    """Two figs on a terrace; netting, a south window for two, and a dark room."""
    desk = desk_with(tmp_path, trees_n=2)
    bench(desk, "tunnel", Exposure.SHADE_NETTING, shade_frac=0.5)
    bench(desk, "sill", Exposure.WINDOW, facing_deg=180.0, capacity_n=2)
    bench(desk, "cellar", Exposure.ROOM)
    return desk


def set_down(desk, key, to, at):
    name = f"{key}-{to}-{at:%m%d}"
    append(desk.ledger(), event(name, Sort.TREE, key, SetDown(bench=to), at))


def ids(said):
    return [one.message_id for one in said]


def test_into_a_room_they_stand_three_weeks_under_the_netting(desk):
    answer = move(desk, "Terrace", "Sill", on=date(2026, 9, 1))
    shade, last = answer.stands
    assert answer.way == "in"
    assert (shade.bench, shade.from_, shade.until) == (
        "tunnel",
        date(2026, 9, 1),
        date(2026, 9, 22),
    )
    assert (last.bench, last.trees, last.until) == ("sill", ("T1", "T2"), None)
    assert "move.waves" in ids(answer.notes)
    assert "move.cold_overrides" in ids(answer.notes)


def test_when_nights_are_soon_too_cold_they_go_without_shade(desk):
    answer = move(desk, "Terrace", "Sill", on=date(2026, 10, 8))
    assert [stand.bench for stand in answer.stands] == ["sill"]
    assert answer.why.message_id == "move.no_shade"
    assert 0 <= answer.why.figures["left_d"] < 21


def test_without_a_bench_of_that_light_a_net_hangs_where_they_stand(desk):
    bench(desk, "tunnel", Exposure.SHADE_NETTING, shade_frac=0.9)
    shade = move(desk, "Terrace", "Sill", on=date(2026, 9, 1)).stands[0]
    assert shade.bench == "terrace"
    assert shade.net_frac == pytest.approx(0.5)


def test_out_they_go_by_shade_once_nights_are_mild(desk):
    for key in ("terrace-1", "terrace-2"):
        set_down(desk, key, "sill", NOW - timedelta(days=1))
    answer = move(desk, "Sill", "Terrace", on=date(2027, 2, 1))
    assert answer.way == "out"
    assert date(2027, 4, 15) < answer.stands[0].from_ < date(2027, 5, 20)
    lights = [stand.light_mol_m2_d for stand in answer.stands]
    assert lights == sorted(lights)
    assert lights[0] < lights[-1] / 2
    assert answer.stands[-1].bench == "terrace"
    days = [(s.from_, s.until) for s in answer.stands]
    assert all(a[1] == b[0] for a, b in pairwise(days))
    assert 10 <= (days[-1][0] - days[0][0]).days <= 21


def test_a_fig_waits_for_its_own_mild_nights_whoever_stands_there(desk):
    """A juniper that stands first on the terrace bears every night; the figs do not."""
    hardy = Tree(species="juniperus-chinensis", bench="tunnel", place_n=1.0)
    append(desk.ledger(), event("j", Sort.TREE, "j-1", hardy, BEGUN))
    for key in ("terrace-1", "terrace-2"):
        set_down(desk, key, "sill", NOW - timedelta(days=1))
    answer = move(desk, "Sill", "Tunnel", on=date(2026, 12, 1))
    assert answer.stands[0].from_ > date(2027, 4, 15)
    (waits,) = [n for n in answer.notes if n.message_id == "move.waits"]
    assert waits.figures["floor_c"] == 10


def test_shade_before_a_room_is_shade_outside_and_no_darker_than_the_room(desk):
    """A lamp shelf is a room already; the net hangs where they stand."""
    bench(desk, "tunnel", Exposure.SHADE_NETTING, shade_frac=0.97)
    bench(desk, "shelf", Exposure.LAMP, ppfd_umol_m2_s=240.0, lit_h=14.0)
    shade = move(desk, "Terrace", "Sill", on=date(2026, 9, 1)).stands[0]
    assert shade.bench == "terrace"
    assert shade.net_frac > 0


def test_a_hardy_tree_is_told_that_a_room_weakens_it(desk):
    hardy = Tree(species="juniperus-chinensis", bench="terrace", label="J1")
    append(desk.ledger(), event("j", Sort.TREE, "j-1", hardy, BEGUN))
    answer = move(desk, "J1", "Sill", on=date(2026, 9, 1))
    assert "move.hardy_in_room" in ids(answer.notes)
    figs = move(desk, "T1", "Sill", on=date(2026, 9, 1))
    assert "move.hardy_in_room" not in ids(figs.notes)


def test_more_trees_than_there_is_room_for_are_told_by_name(desk):
    bench(desk, "shelf", Exposure.WINDOW, facing_deg=90.0, capacity_n=1)
    answer = move(desk, "Terrace", "Shelf", on=date(2026, 9, 1))
    assert answer.no_room == ("T2",)
    assert {label for stand in answer.stands for label in stand.trees} == {"T1"}


def test_a_room_too_dark_to_live_in_is_said_to_be(desk):
    answer = move(desk, "Terrace", "Cellar", on=date(2026, 12, 1))
    assert "move.too_dark" in ids(answer.notes)


def test_trees_of_two_benches_are_not_led_at_once(desk):
    set_down(desk, "terrace-1", "sill", NOW - timedelta(days=1))
    assert "move.one_bench" in faults(desk, lambda: move(desk, "T1,T2", "Tunnel"))


# How it went


def moved(desk, **said):
    later = replace(desk, clock=lambda: datetime(2026, 12, 1, 12, tzinfo=UTC))
    return tree_moves(replace(later, **said), "T1").moves


def test_three_weeks_under_the_net_were_well_done(desk):
    set_down(desk, "terrace-1", "tunnel", datetime(2026, 9, 1, tzinfo=UTC))
    set_down(desk, "terrace-1", "sill", datetime(2026, 9, 23, tzinfo=UTC))
    last = moved(desk)[0]
    assert (last.from_, last.to) == ("Terrace", "Sill")
    assert last.shaded_d == pytest.approx(22)
    assert last.light_ratio < 0.6
    assert ids(last.told) == ["moved.shaded", "moved.quiet"]


def test_three_days_were_worse_than_none_and_the_leaves_are_counted(desk):
    set_down(desk, "terrace-1", "tunnel", datetime(2026, 9, 1, tzinfo=UTC))
    set_down(desk, "terrace-1", "sill", datetime(2026, 9, 4, tzinfo=UTC))
    for n, day in enumerate((12, 28)):
        fell = LeavesDropping(many=True)
        at = datetime(2026, 9, day, tzinfo=UTC)
        append(desk.ledger(), event(f"fell-{n}", Sort.TREE, "terrace-1", fell, at))
    last = moved(desk)[0]
    assert ids(last.told) == ["moved.too_short", "moved.fell_over"]
    assert last.told[1].figures["times_n"] == 2


def test_today_announces_the_waves_and_stops_after_twelve_weeks(desk):
    set_down(desk, "terrace-1", "sill", NOW - timedelta(days=2))
    (said,) = [n for n in today(desk).notes if n.message_id == "moved.expect"]
    assert said.figures["labels"] == "T1"
    assert said.figures["until"] == (NOW + timedelta(days=82)).date()
    over = replace(desk, clock=lambda: NOW + timedelta(days=90))
    assert "moved.expect" not in ids(today(over).notes)
