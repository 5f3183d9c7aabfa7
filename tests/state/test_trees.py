"""Many trees together: the same as one by one, in one part or in two."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from arbuscula.kinds.events import (
    KIND_OF,
    Checked,
    Defoliated,
    Event,
    Found,
    How,
    Repotted,
    SetDown,
    Sort,
    Watered,
    Weighed,
)
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.tree import Tree
from arbuscula.kinds.weather import Spot
from arbuscula.state.outlook import (
    Lines,
    chance_before,
    once_soaked,
    outlook,
    tenths_h,
)
from arbuscula.state.pull import pull_of
from arbuscula.state.replay import acts_of, begun, hour_of, run
from arbuscula.state.trees import MEMBERS_N, arrays_of, joined, left_frac
from tests.state.made import LIBRARY, START_S, made_rows

SPOT = Spot(latitude_deg=45.7, longitude_deg=13.8, elevation_m=210.0)
START_H = round(START_S / 3600)
BENCHES = {
    "terrace": Bench(yard="y", name="Terrace", exposure=Exposure.OPEN),
    "net": Bench(yard="y", name="Net", exposure=Exposure.SHADE_NETTING),
    "sill": Bench(yard="y", name="Sill", exposure=Exposure.WINDOW),
}
PAIRS = [(bench, "ficus-microcarpa") for bench in BENCHES]
PULL = pull_of(made_rows(days_n=8), SPOT, BENCHES, PAIRS, LIBRARY)
UNKNOWN = LIBRARY.demand.unknown
POT = Pot(shape="oval", length_mm=200, width_mm=150, depth_mm=50)


def a_tree(bench="terrace", **told):
    usual = {
        "species": "ficus-microcarpa",
        "bench": bench,
        "pot": POT,
        "crown": "small",
    }
    return Tree(**usual | {"mix": {"peat": 1.0, "pine-bark": 1.0}} | told)


NOUNS = {"a": a_tree(), "b": a_tree("net"), "c": a_tree("sill"), "d": a_tree()}


def event(n, hours, facts, sort=Sort.TREE, subject="x"):
    at = datetime.fromtimestamp(START_S, UTC) + timedelta(hours=hours)
    kind = KIND_OF[type(facts)]
    return Event(
        id=f"e{n}",
        sort=sort,
        subject=subject,
        kind=kind,
        happened=at,
        written=at,
        facts=facts,
    )


SOAK = event(1, 6, Watered(), Sort.BENCH, "terrace")
CHECK = event(2, 40, Checked(how=How.FINGER, found=Found.DRY))
WEIGHED = event(3, 55, Weighed(mass_g=1500.0))
CAN = event(4, 56, Watered(given_ml=150.0))
LIVES = {
    "a": (SOAK, CHECK, CAN),
    "b": (event(5, 10, Watered()), event(6, 60, SetDown(bench="terrace"))),
    "c": (event(7, 8, Watered()), WEIGHED),
    "d": (SOAK, event(8, 30, Defoliated(removed_frac=0.9))),
}


def replayed(nouns=NOUNS, lives=LIVES, hours=(96,)):
    replay = begun(nouns, LIBRARY, at_h=START_H, pull=PULL)
    replay.told |= nouns.keys()
    for until in hours:
        acts = acts_of(replay.trees.keys, lives)
        run(replay, acts, PULL, until_h=START_H + until)
    return replay


def same(one, other):
    return all(np.array_equal(one[name], other[name]) for name in one)


def test_replay_in_two_parts_is_replay_in_one():
    """Also where the cut falls on the hour of an event."""
    whole = arrays_of(replayed().trees)
    for cut in (1, 6, 40, 56, 95):
        assert same(whole, arrays_of(replayed(hours=(cut, 96)).trees)), cut


def test_each_tree_is_followed_as_if_it_were_alone():
    together = replayed().trees
    for place, key in enumerate(NOUNS):
        alone = replayed({key: NOUNS[key]}, {key: LIVES[key]}).trees
        for name, array in arrays_of(alone).items():
            other = arrays_of(together)[name][..., place]
            assert np.array_equal(array[..., 0], other), (key, name)


def test_trees_joined_from_two_replays_are_those_of_one():
    some = replayed({k: NOUNS[k] for k in "ca"}, LIVES).trees
    others = replayed({k: NOUNS[k] for k in "bd"}, LIVES).trees
    whole = joined([some, others], list(NOUNS))
    assert same(arrays_of(whole), arrays_of(replayed().trees))


def test_a_soak_fills_and_time_empties():
    replay = replayed(hours=(6,))
    wet = left_frac(replay.trees)[:, 0]  # a dry ball of peat sheds a part
    assert np.quantile(wet, 0.2) == pytest.approx(1)
    later = replayed(hours=(30,))
    assert np.all(left_frac(later.trees)[:, 0] < 1)


def median_left(replay, key):
    trees = replay.trees
    place = trees.keys.index(key)
    column = left_frac(trees)[:, place : place + 1]
    share = np.exp(trees.weight_ln[:, place : place + 1])
    return tenths_h(column, share / share.sum())[1, 0]


def test_a_check_moves_its_tree_and_no_other():
    without = {**LIVES, "a": (SOAK, CAN)}
    told, untold = (replayed(lives=v, hours=(41,)) for v in (LIVES, without))
    assert median_left(told, "a") < median_left(untold, "a")
    for key in "bcd":
        assert median_left(told, key) == median_left(untold, key)


def test_many_contradicting_checks_leave_a_spread():
    found = [Found.DRY, Found.WET] * 6
    checks = [
        event(50 + n, 20 + n, Checked(how=How.FINGER, found=f))
        for n, f in enumerate(found)
    ]
    replay = replayed({"a": NOUNS["a"]}, {"a": (SOAK, *checks)}, hours=(40,))
    left = left_frac(replay.trees)
    assert np.isfinite(replay.trees.weight_ln).all()
    assert left.std() > 0.01


def test_a_weighing_brings_members_together():
    before, after = replayed(hours=(54,)), replayed(hours=(55,))
    spread = [
        (r.trees.members.dry_g + np.asarray(r.trees.water.water_ml))[:, 2].std()
        for r in (before, after)
    ]
    assert spread[1] < 0.3 * spread[0]


def test_a_defoliated_tree_asks_for_little():
    usual, bare = (replayed(hours=(h,)) for h in (29, 31))
    assert bare.trees.cut_frac[3] > 0.85
    assert usual.trees.cut_frac[3] == 0


def test_a_moved_tree_feels_its_new_bench():
    stays = {**LIVES, "b": LIVES["b"][:1]}
    moved, stayed = (replayed(lives=v) for v in (LIVES, stays))
    assert median_left(moved, "b") < median_left(stayed, "b")


def test_another_pot_begins_another_ball():
    bigger = replace(POT, length_mm=300, width_mm=220, depth_mm=70)
    potted = {"a": (SOAK, event(9, 50, Repotted(pot=bigger)))}
    before, after = (
        replayed({"a": NOUNS["a"]}, potted, hours=(h,)).trees for h in (49, 50)
    )
    capacity = [np.median(t.members.ball.capacity_ml) for t in (before, after)]
    assert capacity[1] > 2 * capacity[0]
    assert left_frac(after) == pytest.approx(1)


def lines(n=4):
    return Lines(due_frac=np.full(n, 0.5), late_frac=np.full(n, 0.25))


def test_outlook_leaves_the_trees_as_they_are():
    replay = replayed(hours=(60,))
    before = {k: v.copy() for k, v in arrays_of(replay.trees).items()}
    outlook(replay.trees, PULL, lines(), UNKNOWN, until_h=START_H + 120)
    once_soaked(replay.trees)
    assert same(before, arrays_of(replay.trees))
    assert replay.trees.at_h == START_H + 60


def test_due_comes_before_late_and_soaked_trees_last_longer():
    replay = replayed(hours=(60,))
    until_h = START_H + 150
    dry = outlook(replay.trees, PULL, lines(), UNKNOWN, until_h=until_h)
    wet = outlook(once_soaked(replay.trees), PULL, lines(), UNKNOWN, until_h=until_h)
    assert np.all(dry.due_h <= dry.late_h)
    assert np.all(wet.due_h >= dry.due_h)


def test_chances_and_tenths_agree():
    passed = np.arange(MEMBERS_N, dtype=float)[:, np.newaxis]
    share = np.full((MEMBERS_N, 1), 1 / MEMBERS_N)
    assert chance_before(passed, share, MEMBERS_N / 2)[0] == pytest.approx(0.5)
    assert tenths_h(passed, share)[1, 0] == pytest.approx(MEMBERS_N / 2, abs=1)
    heavy = share * 0
    heavy[5] = 1
    assert tenths_h(passed, heavy)[:, 0].tolist() == [5, 5, 5]


def test_events_act_at_the_nearest_hour_and_in_order():
    half_past = event(1, 6.4, Watered())
    later = event(2, 6.45, Checked(how=How.FINGER, found=Found.WET))
    acts = acts_of(("a",), {"a": (later, half_past)})
    assert list(acts) == [hour_of(half_past.happened)]
    assert [act.event.id for act in acts[START_H + 6]] == ["e1", "e2"]


def test_one_event_that_reached_many_is_one_act():
    acts = acts_of(("a", "d"), {"a": (SOAK,), "d": (SOAK,)})
    (act,) = acts[START_H + 6]
    assert act.places == (0, 1)
