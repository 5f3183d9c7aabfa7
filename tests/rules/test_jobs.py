"""Jobs, as the trade does them. All of it is practice, no source."""

from datetime import timedelta

import pytest

from arbuscula.kinds.technique import Phase, Standing, Vigour
from arbuscula.rules.together import visible_jobs
from arbuscula.state.condition import terms_for
from tests.jobs import (
    CARE,
    LIBRARY,
    ON,
    against,
    done,
    judged,
    roots,
    tree,
    verdict,
)

PLANTS = ("defoliate", "repot", "structural-cut", "bare-wood-cut")


def terms(technique, group="tropical fig"):
    return terms_for(LIBRARY.techniques[technique], group)


# Cuts


@pytest.mark.parametrize(
    ("group", "phase", "night_c", "said"),
    [
        ("tropical fig", "waking", 16, "yes"),
        ("tropical fig", "waking", 12, "not yet"),
        ("tropical fig", "slowing", 16, "not yet"),
        ("tropical fig", "rest", 16, "not yet"),
        ("benjamina fig", "waking", 18, "no"),
        ("pine of two flushes", "waking", 18, "no"),
    ],
)
def test_a_cut_to_bare_wood_only_as_warm_growth_starts_never_on_benjamina_or_pines(
    group, phase, night_c, said
):
    assert verdict("bare-wood-cut", group=group, phase=phase, night_c=night_c) == said


@pytest.mark.parametrize("phase", ["slowing", "rest"])
@pytest.mark.parametrize("group", ["tropical fig", "benjamina fig"])
def test_in_autumn_and_winter_four_or_five_leaves_stay_on_every_shoot(group, phase):
    kept = terms("trim", group).keep_leaves_n[phase]
    assert (kept.value, kept.high) == (4, 5)
    assert "only_dead_wood" in terms("trim", group).cautions_in[phase]  # both are said


@pytest.mark.parametrize("phase", [*Phase])
def test_a_fig_is_trimmed_at_any_time(phase):
    assert verdict("trim", phase=phase.value) == "yes"


def test_a_shoot_is_trimmed_once_it_has_six_leaves():
    assert verdict("trim", leaves_n=5.0) == "not yet"
    assert verdict("trim", leaves_n=6.0) == "yes"
    assert verdict("trim", leaves_n=None) == "yes"  # said with its condition


def test_a_trim_in_growth_goes_back_to_two_leaves():
    assert terms("trim").keep_leaves_n["flush"].value == 2


# Roots


def test_no_more_than_25_to_30_percent_of_the_roots_go():
    most = terms("repot").most_roots_frac
    assert (most.value, most.high) == (0.25, 0.3)


@pytest.mark.parametrize(
    ("covered", "said"), [(0.7, "not yet"), (0.8, "yes"), (0.9, "yes")]
)
def test_a_repot_is_due_when_80_to_90_percent_of_the_ball_is_roots(covered, said):
    assert verdict("repot", roots=roots(covered_frac=covered)) == said


def test_years_are_a_reason_to_look_never_to_cut():
    old = roots(
        since=ON - timedelta(days=3000), seen=None, covered_frac=None, looks=None
    )
    assert verdict("repot", roots=old) == "not yet"
    assert "may.look_first" in against("repot", roots=old)
    asks = visible(roots=old)
    assert asks == {"look-at-roots": "visible.years"}
    assert verdict("look-at-roots", roots=old) == "yes"


def visible(**changed):
    view = tree(**changed)
    asks = visible_jobs(view, LIBRARY.groups[view.group], CARE)
    return {v.technique: v.said.message_id for v in asks}


def test_an_open_pot_waits_whatever_its_date():
    old = roots(covered_frac=0.5, since=ON - timedelta(days=3000))
    assert verdict("repot", roots=old) == "not yet"
    assert "repot" not in visible(roots=old)


def test_water_that_runs_slowly_brings_a_look_at_once_and_the_repot_in_its_window():
    unseen = roots(seen=None, covered_frac=None, looks=None, slow=True)
    assert visible(roots=unseen, phase="rest") == {"look-at-roots": "visible.slow"}
    assert verdict("repot", roots=unseen) == "not yet"
    seen = roots(covered_frac=0.6, slow=True)
    assert verdict("repot", roots=seen, phase="waking") == "yes"
    assert verdict("repot", roots=seen, phase="rest") == "not yet"


def test_rotting_roots_wait_for_no_season_and_lose_only_what_is_dead():
    rot = roots(looks="rotting")
    for phase in ("rest", "slowing", "flush"):
        assert verdict("rescue-roots", roots=rot, phase=phase) == "yes"
        assert verdict("repot", roots=rot, phase=phase) == "not yet"
    assert verdict("rescue-roots") == "no"
    assert "dead_roots_only" in terms("rescue-roots").cautions


def test_a_fig_is_repotted_as_it_grows_in_warm_nights_on_a_vigorous_tree():
    assert verdict("repot") == "yes"
    assert verdict("repot", night_c=14.9) == "not yet"
    assert verdict("repot", phase="hardened") == "not yet"
    assert verdict("repot", vigour=Vigour.UNKNOWN) == "not yet"
    assert verdict("repot", vigour=Vigour.WEAK) == "no"
    assert verdict("slip-pot", vigour=Vigour.WEAK) == "yes"  # without cutting


# Defoliation


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({}, "yes"),
        ({"phase": "flush"}, "not yet"),
        ({"phase": "rest"}, "not yet"),
        ({"vigour": Vigour.UNKNOWN}, "not yet"),
        ({"vigour": Vigour.STALLED}, "no"),
        ({"dropping": True}, "not yet"),
        ({"light_mol_m2_d": 6.0}, "not yet"),
        ({"roots": roots(seen=None)}, "not yet"),
        ({"roots": roots(looks="rotting")}, "no"),
        ({"roots": roots(slow=True)}, "not yet"),
        ({"night_c": 12.0}, "not yet"),
    ],
)
def test_all_leaves_go_only_in_summer_warmth_on_a_strong_hardened_tree(changed, said):
    assert verdict("defoliate", **{"phase": "hardened", **changed}) == said


@pytest.mark.parametrize(
    "group", ["benjamina fig", "maple", "juniper", "tropical shrub"]
)
def test_who_is_never_stripped(group):
    assert verdict("defoliate", group=group, phase="hardened") == "no"


def test_no_defoliation_in_the_year_of_a_repot():
    jobs = (done("repot", 300),)
    assert "may.rests" in against("defoliate", phase="hardened", done=jobs)


# Others


@pytest.mark.parametrize(
    ("group", "days", "said"),
    [
        ("pine of two flushes", 100, "yes"),
        ("pine of two flushes", 70, "not yet"),
        ("pine of one flush", 100, "no"),
    ],
)
def test_candles_are_cut_a_hundred_days_before_frost(group, days, said):
    shown = verdict("decandle", group=group, phase="flush", frost_free_d=float(days))
    assert shown == said


@pytest.mark.parametrize(("weeks", "said"), [(2, "not yet"), (5, "yes")])
def test_no_feed_for_four_weeks_after_a_repot(weeks, said):
    assert verdict("feed", done=(done("repot", 7 * weeks),)) == said


def test_no_feed_to_cold_roots_or_in_the_dark_and_twice_as_much_in_growth():
    assert verdict("feed", root_c=12.9) == "not yet"
    assert verdict("feed", light_mol_m2_d=0.6) == "not yet"
    dose = terms("feed").dose_frac
    assert dose["flush"].value == 2 * dose["rest"].value


@pytest.mark.parametrize(
    ("night_c", "said"), [(9.9, "not yet"), (10, "yes"), (12, "yes")]
)
def test_a_fig_stands_out_only_while_nights_stay_at_ten(night_c, said):
    assert verdict("move-out", night_c=night_c, coldest_c=night_c) == said


def test_a_cold_night_overrides_the_dose_of_shade():
    assert verdict("move-in", shaded_d=3.0) == "not yet"
    assert verdict("move-in", shaded_d=3.0, coldest_c=8.0) == "yes"


@pytest.mark.parametrize("second", PLANTS)
def test_one_big_job_in_a_cycle_of_growth(second):
    jobs = (done("air-layer", 200),)
    assert "may.one_big" in against(second, done=jobs)
    before = tree().cycle_since + timedelta(days=250)
    assert "may.one_big" not in against(second, done=jobs, cycle_since=before)


def test_three_jobs_in_a_month_refuse_the_fourth():
    jobs = (done("trim", 28), done("wire", 20), done("pinch", 10))
    assert verdict("trim", done=jobs) == "no"
    assert "may.crowded" in against("trim", done=jobs)
    assert "may.crowded" not in against("trim", done=jobs[1:])


def test_reserves_may_forbid():
    assert verdict("repot", reserves_frac=0.5) == "no"
    assert verdict("repot", reserves_frac=1.0, phase="rest") == "not yet"


def test_in_the_hospital_no_jobs_and_no_feed():
    ill = {"standing": (Standing.HOSPITAL,)}
    for technique in ("trim", "feed", "wire", "sell", "send", *PLANTS):
        assert verdict(technique, **ill) == "no"
    for technique in ("look-at-roots", "treat", "wire-check", "move-in"):
        assert verdict(technique, **ill) == "yes"


def test_somebody_elses_tree_waits_for_a_word_and_is_not_sold():
    boarded = {"standing": (Standing.BOARDED,)}
    assert verdict("trim", **boarded) == "not yet"
    assert verdict("sell", **boarded) == "no"
    assert verdict("sell", standing=(Standing.QUARANTINE,)) == "no"


def test_a_tree_with_wire_on_is_not_sent_and_one_without_has_none_to_check():
    assert verdict("send") == "not yet"
    assert verdict("send", wired=None) == "yes"
    assert verdict("unwire", wired=None) == "no"


def test_a_maple_without_its_cold_is_not_asked_to_grow():
    assert verdict("repot", group="maple") == "yes"
    assert verdict("repot", group="maple", chill_h=50.0) == "not yet"


def test_what_nobody_knows_is_refused():
    assert verdict("wire", group="any") == "no"
    assert against("wire", group="any") == {"may.unknown_group"}


@pytest.mark.parametrize("technique", LIBRARY.techniques)
@pytest.mark.parametrize("group", [g for g in LIBRARY.groups if g != "any"])
def test_every_technique_says_something_of_every_group(technique, group):
    assert terms(technique, group) is not None
    reasons = judged(technique, group=group).because
    assert all(r.source in LIBRARY.sources for r in reasons)
