"""May, from the book to the verdict. All of it is invented."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from arbuscula.catalog.library import read_library
from arbuscula.desk.answers import data
from arbuscula.desk.may import may, may_all
from arbuscula.desk.today import today
from arbuscula.desk.tree import show_tree
from arbuscula.kinds.events import SetDown, Sort
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.said import ArbusculaError
from arbuscula.ledger.book import append
from arbuscula.start import LIBRARY
from tests.desk.made_yard import BEGUN, desk_with, event, forecast, observe
from tests.desk.stair import NOW, bench, later, rec, stair

JUNE, OCTOBER, JANUARY = date(2027, 6, 10), date(2026, 10, 20), date(2027, 1, 15)


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """Stone Stair with a terrace and a warm windowsill, and nothing done yet."""
    desk = stair(tmp_path_factory.mktemp("home"), trees_n=3)
    sill = {"species": "ficus-microcarpa"}
    bench(desk, "Sill", trees_n=1, each=sill, said={"exposure": "window"})
    bench(desk, "Low", trees_n=1, each={"species": "juniperus-chinensis"})
    return desk


@pytest.fixture
def fresh(tmp_path):
    return stair(tmp_path, trees_n=3)


def ask(desk, technique, tree="B3-1", **asked):
    (verdict,) = may(desk, tree, [technique], **asked).verdicts
    return verdict


def messages(verdict, way="not yet"):
    return {
        b.said.parts[0].message_id for b in verdict.because if b.verdict.value == way
    }


# The phase, by season and light


@pytest.mark.parametrize(
    ("on", "phase"),
    [
        (JANUARY, "rest"),
        (JUNE, "waking"),
        (date(2027, 7, 5), "flush"),
        (date(2027, 7, 25), "hardened"),
        (date(2027, 9, 15), "slowing"),
    ],
)
def test_a_fig_at_trieste_goes_through_its_year(desk, on, phase):
    told = may(desk, "B3-1", ["trim"], on=on).phase
    assert told.name.value == phase
    assert 0.5 < told.p <= 1
    assert sum(told.shares.values()) == pytest.approx(1, abs=1e-9)  # float width


def test_buds_that_are_seen_move_it_while_light_nights_and_roots_hold(fresh):
    rec(fresh, "B3-1", "flush hardened", at="2026-07-05")
    assert may(fresh, "B3-1", ["trim"]).phase.name.value == "hardened"
    assert may(fresh, "B3-2", ["trim"]).phase.name.value != "hardened"


def test_buds_in_the_cold_move_nothing(tmp_path):
    winter = replace(
        stair(tmp_path, trees_n=1), clock=lambda: NOW + timedelta(days=190)
    )
    rec(winter, "B3-1", "buds swelling", at="2027-01-10")
    told = may(winter, "B3-1", ["repot"])
    assert told.phase.name.value == "rest"
    assert told.phase.moved.message_id == "phase.held_by_nights"


def test_falling_leaves_move_it_and_hold_big_jobs(fresh):
    rec(fresh, "B3-1", "leaves dropping many=yes", at="2026-07-01")
    told = may(fresh, "B3-1", ["structural-cut"])
    assert told.phase.name.value == "slowing"
    assert "may.dropping" in messages(told.verdicts[0])


# What season allows, and when it will


def test_the_next_window_lies_in_the_next_early_summer_with_its_spread(desk):
    opens = ask(desk, "repot", on=JANUARY).next
    assert opens.p10 <= opens.p50 <= opens.p90
    assert date(2027, 5, 15) < opens.p50 < date(2027, 6, 20)


def test_what_is_yes_or_no_has_no_next_date(desk):
    assert ask(desk, "trim", on=JANUARY).next is None
    never = ask(desk, "bare-wood-cut", tree="L-1", on=JUNE)
    assert (never.verdict.value, never.next, never.keep) == ("no", None, {})


def test_a_trim_in_autumn_leaves_four_leaves_on_a_shoot(desk):
    told = ask(desk, "trim", on=OCTOBER)
    kept = told.keep["leaves_left_on_each_shoot_n"]
    assert (told.verdict.value, kept.value, kept.high) == ("yes", 4, 5)
    said = [c.parts[0].message_id for c in told.cautions]
    assert "caution.only_dead_wood" in said


def test_for_wire_the_next_check_is_told_and_no_far_date_of_removal(fresh):
    told = ask(fresh, "wire")
    (check,) = (c for c in told.aftercare if "check_wire" in c.job.parts[0].message_id)
    assert check.from_ - NOW.date() == timedelta(days=7)
    assert all((c.to - NOW.date()).days <= 31 for c in told.aftercare)


# A tree's own life


def ready_for_repot(desk, tree="B3-1"):
    rec(desk, tree, "buds swelling", at="2026-06-20")
    rec(desk, tree, "roots inspected covered_frac=0.85 looks=healthy", at="2026-06-21")


def test_roots_seen_and_buds_seen_make_a_repot_a_yes(fresh):
    ready_for_repot(fresh)
    told = may(fresh, "B3-1", ["repot"])
    assert told.verdicts[0].verdict.value == "yes"
    limit = told.verdicts[0].keep["most_roots_off_frac"]
    assert (limit.value, limit.high, limit.grade.value) == (0.25, 0.3, "practice")
    assert "repot" in {v.technique for v in told.visible}


def test_a_job_that_the_tree_asks_for_is_judged_together_with_those_named(fresh):
    ready_for_repot(fresh)
    told = may(fresh, "B3-1", ["structural-cut"])
    assert told.verdicts[0].verdict.value == "yes"
    assert told.together.verdict.value == "not yet"
    said = [b.said.parts[0].message_id for b in told.together.because]
    assert said == ["together.big_waits"]


def test_roots_fill_with_the_season_and_an_inspection_sets_them_right(fresh):
    rec(fresh, "B3-1", "repotted removed_frac=0.25", at="2026-06-05")
    rec(fresh, "B3-2", "repotted removed_frac=0.25", at="2026-06-05")
    in_years = {"on": date(2029, 7, 8)}
    asks = {
        v.technique: v.said.parts[0]
        for v in may(fresh, "B3-1", ["trim"], **in_years).visible
    }
    assert asks["look-at-roots"].message_id in ("visible.filled", "visible.years")
    soon = {
        v.technique for v in may(fresh, "B3-1", ["trim"], on=date(2026, 12, 1)).visible
    }
    assert soon == set()
    seen = later(fresh, days=700)
    rec(seen, "B3-2", "roots inspected covered_frac=0.4 looks=healthy")
    assert not may(seen, "B3-2", ["trim"]).visible
    assert {v.technique for v in may(seen, "B3-1", ["trim"]).visible} == {
        "look-at-roots"
    }


def test_water_that_stands_half_a_minute_asks_for_a_look(fresh):
    rec(fresh, "B3-1", "percolation timed poured_ml=300 time_s=30")
    (asks,) = may(fresh, "B3-1", ["trim"]).visible
    assert (asks.technique, asks.said.parts[0].message_id) == (
        "look-at-roots",
        "visible.slow",
    )


def test_a_trunk_that_stands_still_refuses_defoliation_until_the_roots_are_seen(
    tmp_path,
):
    desk = stair(tmp_path, trees_n=1)
    for months in range(24):
        then = later(desk, days=30 * months)
        rec(then, "B3-1", "trunk_mm 42.0")
    then = later(desk, days=730)
    told = ask(then, "structural-cut")
    assert "may.vigour_stalled" in messages(told, "no")
    rec(then, "B3-1", "roots inspected covered_frac=0.5 looks=healthy")
    assert "may.vigour_stalled" not in messages(ask(then, "structural-cut"), "no")


def test_one_that_grows_is_not_called_stalled(tmp_path):
    desk = stair(tmp_path, trees_n=1)
    for months in range(24):
        rec(later(desk, days=30 * months), "B3-1", f"trunk_mm {42 + 0.2 * months:.1f}")
    told = ask(later(desk, days=730), "structural-cut")
    assert "may.vigour_unknown" in messages(told)


def test_a_tree_for_somebody_else_waits(fresh):
    rec(fresh, "B3-1", "received how=boarded")
    assert "may.waits" in messages(ask(fresh, "trim"))
    rec(fresh, "B3-2", "into hospital")
    assert "may.barred" in messages(ask(fresh, "trim", tree="B3-2"), "no")


def test_an_earlier_day_is_judged_by_what_was_known_then(fresh):
    rec(fresh, "B3-1", "into hospital", at="2026-07-01")
    assert ask(fresh, "trim").verdict.value == "no"
    assert ask(fresh, "trim", on=date(2026, 6, 20)).verdict.value == "yes"


# A forecast may close a window, never open one


@pytest.mark.parametrize("days", [0, 4])
@pytest.mark.parametrize("night_c", [16.0, 12.0, 8.0])
def test_a_colder_forecast_never_opens_a_window(tmp_path, night_c, days):
    on = NOW.date() + timedelta(days=days)
    desk = desk_with(tmp_path, trees_n=1)
    observe(desk, night_c=17.0)
    jobs = ["bare-wood-cut", "move-out", "repot"]
    before = may(desk, "T1", jobs, on=on)
    forecast(desk, hours_n=24 * 12, night_c=night_c)
    after = may(desk, "T1", jobs, on=on)
    assert before.phase == after.phase
    order = ["yes", "not yet", "no"]
    for was, is_now in zip(before.verdicts, after.verdicts, strict=True):
        assert order.index(is_now.verdict) >= order.index(was.verdict)
    moving_out = after.verdicts[1].verdict.value
    if night_c < 10:
        assert moving_out == "not yet"
    if night_c > 15 and days == 0:
        assert moving_out == "yes"  # further ahead a forecast spreads


# The three that must be shown


def test_three_jobs_in_a_month_refuse_the_fourth_whose_aftercare_stands_in_today(fresh):
    for words, at in (
        ("pruned trim", "2026-06-10"),
        ("wired", "2026-06-20"),
        ("pruned structural-cut", "2026-07-01"),
    ):
        rec(fresh, "B3-1", words, at=at)
    told = ask(fresh, "trim")
    assert told.verdict.value == "no"
    assert "may.crowded" in messages(told, "no")
    in_two_weeks = later(fresh, days=14)
    jobs = {j.job.message_id: j for j in today(in_two_weeks).jobs if j.label == "B3-1"}
    assert jobs["aftercare.check_wire"].because.figures["technique"] == "wire"
    for job in ("look_for_buds", "no_other_job", "no_wire"):
        because = jobs[f"aftercare.{job}"].because.figures
        assert because["technique"] == "structural-cut"


OWN = """
title = "thin the crown"
names = ["thin"]
strain = "leaves"
bars = ["hospital"]
cautions = ["blades", "mind the wasps"]
source = "growers"
grade = "practice"

[recorded]
kind = "pruned"

[[terms]]
groups = ["tropical fig"]
phases = ["hardened", "flush"]
night_c = { value = 14, low = 14, high = 16, source = "growers", grade = "practice" }

[terms.most_crown_frac]
value = 0.2
low = 0.1
high = 0.2
source = "growers"
grade = "practice"

[[aftercare]]
job = "turn it by a quarter"
from_d = { value = 7, low = 7, high = 7, source = "growers", grade = "practice" }
to_d = { value = 21, low = 21, high = 21, source = "growers", grade = "practice" }
"""


def with_own(home, name, text):
    folder = home / "library/techniques"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{name}.toml").write_text(text)


def test_a_new_technique_is_a_file_and_no_python(tmp_path):
    with_own(tmp_path, "thin-crown", OWN)
    desk = stair(tmp_path, trees_n=2)
    told = ask(desk, "thin")
    assert (told.technique, told.verdict.value) == ("thin-crown", "yes")
    assert told.keep["most_crown_off_frac"].value == 0.2
    assert [c.parts[0].message_id for c in told.cautions] == [
        "caution.blades",
        "caution.own",
    ]
    assert ask(desk, "thin-crown", on=JANUARY).verdict.value == "not yet"
    rec(desk, "B3-2", "pruned thin-crown", at="2026-07-01")
    (job,) = today(later(desk, days=3)).jobs
    assert (job.label, job.job.figures["found"]) == ("B3-2", "turn it by a quarter")


def test_an_own_file_goes_over_ours_and_its_faults_are_told(tmp_path):
    with_own(tmp_path, "trim", OWN)
    assert read_library(LIBRARY, tmp_path / "library").techniques["trim"].title == (
        "thin the crown"
    )
    wrong = OWN.replace('"hardened", "flush"', '"hardend"').replace("growers", "nobody")
    with_own(tmp_path, "trim", wrong)
    with pytest.raises(ArbusculaError) as caught:
        read_library(LIBRARY, tmp_path / "library")
    files = [fault.figures["file"] for fault in caught.value.faults]
    assert len(files) > 1
    assert all("trim.toml, line " in file for file in files)


@pytest.mark.parametrize(
    ("wrong", "key"),
    [
        (('["tropical fig"]', '["tropical figs"]'), "groups"),
        (('kind = "pruned"', 'kind = "prunned"'), "recorded.kind"),
        (('source = "growers"\ngrade', 'source = "grower"\ngrade'), "source"),
    ],
)
def test_a_word_that_means_nothing_is_a_fault(tmp_path, wrong, key):
    with_own(tmp_path, "thin", OWN.replace(*wrong, 1))
    with pytest.raises(ArbusculaError) as caught:
        read_library(LIBRARY, tmp_path / "library")
    assert key in {fault.figures["key"] for fault in caught.value.faults}


# The whole nursery, and today


def test_all_trees_are_asked_the_boldest_first(desk):
    told = may_all(desk, "trim", on=OCTOBER)
    assert [row.verdict.value for row in told.trees].count("yes") == 4
    assert {row.label for row in told.trees} == {"B3-1", "B3-2", "B3-3", "S-1", "L-1"}
    order = [["yes", "not yet", "no"].index(row.verdict.value) for row in told.trees]
    assert order == sorted(order)


def test_today_shows_aftercare_until_it_is_over(fresh):
    rec(fresh, "B3-2", "repotted removed_frac=0.25", at="2026-06-20")
    now = {j.job.message_id for j in today(fresh).jobs}
    assert {"aftercare.no_feed", "aftercare.no_wire", "aftercare.look_for_buds"} <= now
    rec(fresh, "B3-2", "buds swelling")
    then = {j.job.message_id for j in today(later(fresh, hours=2)).jobs}
    assert "aftercare.look_for_buds" in now - then
    assert "aftercare.no_feed" not in {
        j.job.message_id for j in today(later(fresh, days=60)).jobs
    }


def test_wire_is_asked_after_until_somebody_has_looked(fresh):
    rec(fresh, "B3-1", "wired check_by=2026-07-06", at="2026-06-20")
    assert [j.job.message_id for j in today(fresh).jobs] == ["aftercare.check_wire"]
    rec(fresh, "B3-1", "wire checked bite_n=1")
    later_on = today(later(fresh, hours=1)).jobs
    assert [j.job.message_id for j in later_on] == ["job.unwire"]
    rec(later(fresh, hours=2), "B3-1", "unwired")
    assert {j.job.message_id for j in today(later(fresh, hours=3)).jobs} == {
        "aftercare.look_for_buds"
    }


def test_a_cold_night_brings_a_second_look_two_weeks_later(tmp_path):
    desk = desk_with(tmp_path, trees_n=1, now=NOW)
    observe(desk, until_at=NOW - timedelta(days=16), night_c=15.0)
    observe(
        desk,
        from_at=NOW - timedelta(days=16),
        until_at=NOW - timedelta(days=14),
        night_c=8.0,
    )
    observe(desk, from_at=NOW - timedelta(days=14), until_at=NOW, night_c=15.0)
    (job,) = today(desk).jobs
    assert job.job.message_id == "aftercare.second_look"
    assert job.because.message_id == "job.cold_night"


def cold_night(tmp_path, night_c):
    """Return a desk whose only fig stood out in two cold nights, two weeks ago."""
    desk = desk_with(tmp_path, trees_n=1, now=NOW)
    began, over = NOW - timedelta(days=16), NOW - timedelta(days=14)
    observe(desk, until_at=began, night_c=15.0)
    observe(desk, from_at=began, until_at=over, night_c=night_c)
    observe(desk, from_at=over, until_at=NOW, night_c=15.0)
    room = Bench(yard="stair", name="Room", exposure=Exposure.ROOM)
    append(desk.ledger(), event("b-room", Sort.BENCH, "room", room, BEGUN))
    return desk


def set_down(desk, bench, days):
    at = NOW - timedelta(days=days)
    told = event(f"{bench}-{days}", Sort.TREE, "terrace-1", SetDown(bench=bench), at)
    append(desk.ledger(), told)


def looks(desk):
    return [j for j in today(desk).jobs if j.job.message_id == "aftercare.second_look"]


def test_a_tree_that_was_carried_in_after_a_cold_night_is_still_looked_at(tmp_path):
    desk = cold_night(tmp_path, 8.0)
    set_down(desk, "room", 13)
    (job,) = looks(desk)
    assert (job.bench, job.because.message_id) == ("room", "job.cold_night")


def test_a_tree_that_stood_inside_by_then_felt_no_cold_night(tmp_path):
    desk = cold_night(tmp_path, 8.0)
    set_down(desk, "room", 20)
    set_down(desk, "terrace", 13)
    assert looks(desk) == []


def test_a_night_under_the_line_of_harm_is_told_with_its_low(tmp_path):
    (job,) = looks(cold_night(tmp_path, -3.0))
    assert job.because.message_id == "job.harmful_night"
    assert job.because.figures["low_c"] == pytest.approx(-3.0)
    assert job.because.figures["low_c"] < job.because.figures["line_c"]


def test_may_tells_of_the_cold_night_before_anything_is_cut(tmp_path):
    desk = cold_night(tmp_path, 8.0)
    again = may(desk, "T1", ["trim"]).again
    assert again.message_id == "may.look_again"
    assert again.figures["first"] == f"{(NOW - timedelta(days=4)).date()}"
    assert may(desk, "T1", ["trim"], on=NOW.date() - timedelta(days=1)).again is None
    mild = desk_with(tmp_path / "mild", trees_n=1, now=NOW)
    observe(mild, until_at=NOW, night_c=15.0)
    assert may(mild, "T1", ["trim"]).again is None


def test_without_a_told_night_there_is_no_second_look(tmp_path):
    assert today(desk_with(tmp_path, trees_n=1)).jobs == ()


def test_the_json_has_the_promised_shape(desk):
    said = data(may(desk, "B3-1", ["repot", "trim"], on=JUNE), lambda s: s.message_id)
    assert said["schema"] == "arbuscula.may/1"
    assert {"tree", "at", "phase", "verdicts", "together"} <= said.keys()
    assert {"name", "p"} <= said["phase"].keys()
    one = said["verdicts"][0]
    assert {
        "technique",
        "verdict",
        "because",
        "keep",
        "aftercare",
        "next",
        "cautions",
    } <= one.keys()
    assert {"said", "figures", "grade", "source"} <= one["because"][0].keys()
    assert isinstance(one["because"][0]["said"], str)
    assert {"job", "from", "to"} <= one["aftercare"][0].keys()
    assert {"p10", "p50", "p90"} == one["next"].keys()
    assert {"verdict", "because"} == said["together"].keys()


def test_words_that_name_no_technique_or_no_tree_are_refused(desk):
    with pytest.raises(ArbusculaError) as caught:
        may(desk, "B3-1", ["repott", "trimm"])
    assert [f.message_id for f in caught.value.faults] == ["may.unknown_technique"] * 2
    with pytest.raises(ArbusculaError):
        may(desk, "B9-1", ["trim"])


def test_a_repot_that_roots_ask_for_stands_in_today_with_its_verdict(fresh):
    rec(
        fresh, "B3-1", "roots inspected covered_frac=0.9 looks=healthy", at="2026-07-01"
    )
    (job,) = today(fresh).jobs
    assert (job.label, job.job.message_id) == ("B3-1", "job.repot_about")
    assert job.job.figures["verdict"] == ask(fresh, "repot").verdict.value


def test_a_tree_shows_what_it_asks_for(fresh):
    rec(fresh, "B3-1", "checked drains slowly")
    (job,) = show_tree(fresh, "B3-1").jobs
    assert (job.technique, job.verdict.value) == ("look-at-roots", "yes")
    assert show_tree(fresh, "B3-2").jobs == ()


def test_what_the_book_knows_of_a_tree_is_told_beside_its_verdicts(fresh):
    rec(fresh, "B3-1", "repotted removed_frac=0.25", at="2026-06-05")
    rec(fresh, "B3-1", "priced 45 EUR", at="2026-06-06")
    told = may(later(fresh, days=400), "B3-1", ["repot"])
    fill = told.roots.fill_frac
    assert 0.2 < fill.p10 < fill.p50 < fill.p90 <= 1
    assert told.vigour.value == "cannot tell"
    assert 0.5 < told.reserves_frac <= 1
    assert [s.value for s in told.standing] == ["for sale"]
    said = [c.parts[0].message_id for c in told.verdicts[0].cautions]
    assert "caution.for_sale" in said
    rec(later(fresh, days=399), "B3-1", "percolation timed poured_ml=300 time_s=40")
    slow = may(later(fresh, days=400), "B3-1", ["repot"]).roots
    assert slow.slow
    assert slow.fill_frac.p50 > fill.p50


def test_moving_out_waits_for_the_nights_outside_wherever_it_stands(desk):
    told = ask(desk, "move-out", tree="S-1", on=JANUARY)
    assert messages(told) == {"may.below_floor"}
    assert date(2027, 4, 15) < told.next.p50 < date(2027, 5, 20)
    assert ask(desk, "move-out", tree="S-1", on=JUNE).verdict.value == "yes"
