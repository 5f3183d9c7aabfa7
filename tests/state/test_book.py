from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count

import pytest
from hypothesis import given
from hypothesis import strategies as st

from arbuscula.kinds.events import (
    KIND_OF,
    Bench,
    Corrected,
    Died,
    Divided,
    Event,
    Fed,
    Joined,
    LabelsExchanged,
    LayeredOff,
    Noted,
    Priced,
    Reached,
    Repotted,
    Returned,
    Sent,
    SetDown,
    SlipPotted,
    Sort,
    Watered,
    Yard,
)
from arbuscula.kinds.place import Exposure
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.supplies import Money, WaterSource
from arbuscula.kinds.tree import Group, Tree
from arbuscula.state.book import book_at, last_words, standing

START = datetime(2026, 5, 1, 6, tzinfo=UTC)
NUMBERS = count(1)
OVAL = Pot(shape="oval", depth_mm=42.0, length_mm=235.0, width_mm=180.0)
ROUND = Pot(shape="round", depth_mm=70.0, diameter_mm=180.0)


def day(n):
    return START + timedelta(days=n)


def told(n, subject, facts, sort=Sort.TREE, **changed):
    """Return an event of day `n`."""
    kind = KIND_OF[type(facts)]
    if kind.endswith(" set"):
        sort = Sort(kind.removesuffix(" set"))
    event = Event(
        id=f"e{next(NUMBERS):06}",
        sort=sort,
        subject=subject,
        kind=kind,
        happened=day(n),
        written=day(n),
        facts=facts,
    )
    return replace(event, **changed)


def tree(n, subject, bench="terrace", place_n=None, **said):
    return told(n, subject, Tree(species="fig", bench=bench, place_n=place_n, **said))


def water(n, subject, sort=Sort.TREE, reached=None):
    return told(n, subject, Watered(given_ml=float(n), reached=reached), sort)


def waterings(life):
    """Return the days on which a life was watered."""
    return [e.facts.given_ml for e in life if isinstance(e.facts, Watered)]


ROW = [tree(0, f"B3-{n}", place_n=float(n), label=f"B3-{n}") for n in range(1, 6)]


# What holds


def test_a_correction_takes_back_and_is_itself_taken_back():
    can = water(1, "fig-1")
    void = told(2, "fig-1", Corrected(event=can.id))
    assert standing([can, void]) == (void,)
    after_all = told(3, "fig-1", Corrected(event=void.id))
    assert standing([can, void, after_all]) == (can, after_all)
    never = told(4, "fig-1", Corrected(event=after_all.id))
    assert standing([can, void, after_all, never]) == (void, never)


def test_a_correction_holds_before_what_it_corrects_has_come():
    can = water(1, "fig-1")
    void = told(2, "fig-1", Corrected(event=can.id))
    assert standing([void]) == (void,)
    assert standing([void, can]) == (void,)


def test_two_corrections_of_one_event_take_it_back_once():
    can = water(1, "fig-1")
    voids = [told(n, "fig-1", Corrected(event=can.id)) for n in (2, 3)]
    back = told(4, "fig-1", Corrected(event=voids[0].id))
    assert can not in standing([can, *voids, back])


def test_corrections_in_a_circle_end():
    one = told(1, "fig-1", Corrected(event="second"), id="first")
    two = told(1, "fig-1", Corrected(event="first"), id="second")
    assert standing([one, two]) == standing([two, one]) == ()


def test_the_last_word_on_a_noun_holds_and_the_unsaid_stays():
    yard = Yard(name="Home", latitude_deg=45.7, longitude_deg=13.8, timezone="UTC")
    bench = Bench(yard="home", name="3", exposure=Exposure.OPEN, facing_deg=180.0)
    netted = Bench(yard="home", name="3", exposure=Exposure.SHADE_NETTING)
    events = [
        told(3, "b3", netted),
        told(1, "b3", bench),
        told(1, "home", yard),
        told(2, "b3", replace(bench, order_n=4)),
    ]
    assert last_words(events, Yard) == {"home": yard}
    assert last_words(events, Bench) == {
        "b3": replace(netted, facing_deg=180.0, order_n=4)
    }
    assert last_words(events, Bench, day(1)) == {"b3": bench}


def test_the_last_word_may_be_on_a_price():
    low, high = (Priced(price=Money(coins_n=n, currency="EUR")) for n in (9000, 12000))
    events = [told(2, "fig-1", high), told(1, "fig-1", low)]
    assert last_words(events, Priced) == {"fig-1": high}


# Who stands where


def test_a_bench_is_walked_by_place_whatever_came_first():
    assert book_at(reversed(ROW)).benches == {
        "terrace": ("B3-1", "B3-2", "B3-3", "B3-4", "B3-5")
    }


def test_a_place_between_two_is_a_number_between_two():
    moved = told(1, "B3-1", SetDown(bench="terrace", place_n=3.5))
    walk = book_at([*ROW, moved]).benches["terrace"]
    assert walk == ("B3-2", "B3-3", "B3-1", "B3-4", "B3-5")


def test_without_a_place_it_stands_at_the_end_and_the_last_to_come_is_last():
    moves = [told(2, "B3-1", SetDown(bench="terrace"))]
    moves += [told(1, "B3-2", SetDown(bench="terrace"))]
    walk = book_at([*ROW, *moves]).benches["terrace"]
    assert walk == ("B3-3", "B3-4", "B3-5", "B3-2", "B3-1")


def test_a_bench_is_seen_as_it_was_then():
    moves = [
        told(2, "B3-1", SetDown(bench="house", place_n=1.0)),
        told(4, "B3-1", SetDown(bench="terrace", place_n=9.0)),
    ]
    events = [*ROW, *moves]
    assert book_at(events, day(1)).benches["terrace"][0] == "B3-1"
    assert book_at(events, day(3)).benches["house"] == ("B3-1",)
    assert book_at(events, day(5)).benches["terrace"][-1] == "B3-1"
    assert book_at(events, day(5)).benches["house"] == ()


def test_a_late_move_counts_from_when_it_happened():
    late = told(1, "B3-1", SetDown(bench="house"), written=day(9))
    then = told(2, "B3-1", SetDown(bench="tunnel"), written=day(2))
    assert book_at([*ROW, then, late]).benches["tunnel"] == ("B3-1",)


def test_to_describe_a_tree_again_does_not_move_it():
    moved = told(1, "B3-1", SetDown(bench="house", place_n=2.0))
    larger = told(2, "B3-1", Tree(species="fig", crown="large"))
    kept = book_at([*ROW, moved, larger]).kept["B3-1"]
    assert (kept.bench, kept.place_n, kept.label) == ("house", 2.0, "B3-1")
    assert kept.crown == "large"


def test_a_place_does_not_come_along_to_another_bench():
    again = told(2, "B3-1", Tree(species="fig", bench="house"))
    assert book_at([*ROW, again]).kept["B3-1"].place_n is None


def test_a_tree_is_as_it_was_last_potted():
    events = [
        tree(0, "fig-1", pot=OVAL, mix={"pumice": 1.0}),
        told(1, "fig-1", Repotted(mix={"akadama": 1.0})),
        told(2, "fig-1", SlipPotted(pot=ROUND, mix={"peat": 1.0})),
    ]
    assert book_at(events, day(1)).kept["fig-1"].pot == OVAL
    kept = book_at(events).kept["fig-1"]
    assert (kept.pot, kept.mix) == (ROUND, {"akadama": 1.0})  # the ball kept its mix


@pytest.mark.parametrize("end", [Died(), Sent()])
def test_who_is_gone_stands_nowhere_and_its_life_stays(end):
    book = book_at([*ROW, water(1, "B3-1"), told(2, "B3-1", end)])
    assert "B3-1" not in book.kept
    assert "B3-1" not in book.benches["terrace"]
    assert waterings(book.lives["B3-1"]) == [1.0]


def test_who_comes_back_stands_where_it_is_set_down():
    events = [*ROW, told(1, "B3-1", Sent()), told(2, "B3-1", Returned())]
    assert book_at(events).kept["B3-1"].bench is None
    events += [told(3, "B3-1", SetDown(bench="house"))]
    assert book_at(events).benches["house"] == ("B3-1",)


# Work on a bench, or on a line


def test_bench_done_reaches_all_that_stand_there_then():
    events = [
        *ROW,
        told(2, "B3-1", SetDown(bench="house")),
        *[water(n, "terrace", Sort.BENCH) for n in (1, 3)],
    ]
    lives = book_at(events).lives
    assert waterings(lives["B3-1"]) == [1.0]
    assert waterings(lives["B3-2"]) == [1.0, 3.0]


@pytest.mark.parametrize(
    ("reached", "dry"),
    [
        (Reached(excepted=("B3-3",)), {"B3-3"}),
        (Reached(excepted_places_n=(2.0, 5.0)), {"B3-2", "B3-5"}),
        (Reached(excepted=("B3-3",), excepted_places_n=(5.0,)), {"B3-3", "B3-5"}),
        (Reached(only=("B3-1", "B3-2")), {"B3-3", "B3-4", "B3-5"}),
        (Reached(only=()), {f"B3-{n}" for n in range(1, 6)}),
        (Reached(excepted=("nobody",)), set()),
    ],
)
def test_bench_done_except_some_is_one_event(reached, dry):
    book = book_at([*ROW, water(1, "terrace", Sort.BENCH, reached)])
    assert {n for n in book.kept if not waterings(book.lives[n])} == dry


def test_excepted_by_label_is_the_tree_that_bears_it():
    renamed = told(1, "B3-1", Tree(species="fig", label="the old one"))
    done = water(2, "terrace", Sort.BENCH, Reached(excepted=("the old one",)))
    assert waterings(book_at([*ROW, renamed, done]).lives["B3-1"]) == []


def test_a_place_means_who_stood_there_then():
    """Recorded days late, after the two had changed places."""
    moves = [
        told(2, "B3-1", SetDown(bench="terrace", place_n=2.0)),
        told(2, "B3-2", SetDown(bench="terrace", place_n=1.0)),
    ]
    for n, dry in ((1, "B3-1"), (3, "B3-2")):
        except_first = Reached(excepted_places_n=(1.0,))
        done = water(n, "terrace", Sort.BENCH, except_first)
        lives = book_at([*ROW, *moves, done]).lives
        assert [name for name in lives if not waterings(lives[name])] == [dry]


def test_a_line_reaches_what_hangs_on_it():
    line = WaterSource(name="drip", way="drip line", reaches=("house", "B3-2", "B3-1"))
    events = [
        *ROW,
        told(0, "drip", line),
        told(0, "B3-1", SetDown(bench="house")),
        water(1, "drip", Sort.SOURCE),
        told(2, "drip", Fed(product="generic 3-1-5"), Sort.SOURCE),
    ]
    lives = book_at(events).lives
    assert [n for n in lives if waterings(lives[n])] == ["B3-1", "B3-2"]
    assert len([e for e in lives["B3-1"] if isinstance(e.facts, Fed)]) == 1  # not twice


def test_a_bench_and_a_tree_may_bear_one_name():
    events = [tree(0, "7", bench="house"), tree(0, "8", bench="7"), water(1, "7")]
    lives = book_at([*events, water(2, "7", Sort.BENCH)]).lives
    assert waterings(lives["7"]) == [1.0]
    assert waterings(lives["8"]) == [2.0]


def test_a_line_that_nobody_described_reaches_nobody():
    events = [tree(0, "8", bench="7"), water(1, "7", Sort.SOURCE)]
    assert waterings(book_at(events).lives["8"]) == []


# Whose life is whose


def exchanged(*days):
    return [told(n, "fig-1", LabelsExchanged(other="fig-2")) for n in days]


PAIR = [
    tree(0, "fig-1", "terrace", 1.0, label="fig-1", pot=OVAL),
    tree(0, "fig-2", "house", 1.0, label="fig-2", pot=ROUND),
    *[water(n, "fig-1") for n in (1, 3, 5)],
    *[water(n, "fig-2") for n in (2, 4, 6)],
]


def test_exchanged_labels_exchange_two_histories_from_then_on():
    book = book_at([*PAIR, *exchanged(3)])
    # Whoever bears fig-1 now was fig-2 until day 3.
    assert waterings(book.lives["fig-1"]) == [2.0, 3.0, 5.0]
    assert waterings(book.lives["fig-2"]) == [1.0, 4.0, 6.0]


def test_before_the_exchange_each_had_its_own():
    book = book_at([*PAIR, *exchanged(3)], day(2))
    assert waterings(book.lives["fig-1"]) == [1.0]


def test_an_exchange_moves_pot_and_bench_with_the_plant_and_leaves_the_label():
    book = book_at([*PAIR, *exchanged(3)])
    assert book.kept["fig-1"] == replace(PAIR[1].facts, label="fig-1")
    assert book.kept["fig-2"] == replace(PAIR[0].facts, label="fig-2")
    assert book.benches == {"terrace": ("fig-2",), "house": ("fig-1",)}


def test_labels_set_right_again_leave_the_time_between_exchanged():
    book = book_at([*PAIR, *exchanged(3, 5)])
    assert waterings(book.lives["fig-1"]) == [1.0, 4.0, 5.0]
    assert waterings(book.lives["fig-2"]) == [2.0, 3.0, 6.0]
    assert book.kept["fig-1"] == PAIR[0].facts


def test_a_mix_up_that_was_none_is_corrected():
    (mistake,) = exchanged(3)
    void = told(9, "fig-1", Corrected(event=mistake.id))
    book = book_at([*PAIR, mistake, void])
    assert waterings(book.lives["fig-1"]) == [1.0, 3.0, 5.0]


def test_a_mix_up_found_out_late_reaches_back():
    late = replace(exchanged(3)[0], written=day(30))
    assert book_at([*PAIR, late]).kept == book_at([*PAIR, *exchanged(3)]).kept


def test_three_labels_may_go_round():
    third = [tree(0, "fig-3", pot=OVAL, place_n=7.0), water(1, "fig-3")]
    round_trip = [*exchanged(2), told(2.5, "fig-2", LabelsExchanged(other="fig-3"))]
    book = book_at([*PAIR, *third, *round_trip])
    assert waterings(book.lives["fig-1"])[0] == 3.0  # was fig-2: first watered on day 2
    assert book.kept["fig-2"].place_n == 7.0  # was fig-3
    # It was fig-1 until day 2, then for half a day fig-2.
    assert waterings(book.lives["fig-3"]) == [1.0, 2.0]


def test_an_exchange_with_a_dead_one_says_which_one_died():
    book = book_at([*PAIR, *exchanged(3), told(4, "fig-1", Died())])
    assert [*book.kept] == ["fig-2"]
    assert book.benches["terrace"] == ("fig-2",)  # the one that was fig-1
    assert book.benches["house"] == ()
    unknown = book_at([*PAIR, told(4, "fig-1", Died()), *exchanged(4.5)])
    assert [*unknown.kept] == ["fig-1"]


def test_parts_carry_the_history_of_the_whole():
    tray = Group(species="fig", form="tray", plants_n=12, bench="house", label="T")
    cutting = Tree(species="fig", bench="terrace", place_n=4.0)
    events = [
        told(0, "tray", tray),
        water(1, "tray", Sort.GROUP),
        told(2, "tray", Divided(into=("cut-1", "cut-2"), left_n=10), Sort.GROUP),
        told(2, "cut-1", cutting),
        water(3, "tray", Sort.GROUP),
        water(4, "cut-1"),
    ]
    book = book_at(events)
    assert waterings(book.lives["tray"]) == [1.0, 3.0]
    assert waterings(book.lives["cut-1"]) == [1.0, 4.0]
    assert waterings(book.lives["cut-2"]) == [1.0]
    assert book.kept["tray"].plants_n == 10
    assert book.kept["cut-1"] == cutting
    assert book.kept["cut-2"] == Tree(species="fig", bench="house")
    assert book.benches == {"house": ("tray", "cut-2"), "terrace": ("cut-1",)}


def test_a_tray_wholly_divided_ends():
    events = [
        told(0, "tray", Group(species="fig", bench="house")),
        told(1, "tray", Divided(into=("a", "b")), Sort.GROUP),
    ]
    assert [*book_at(events).kept] == ["a", "b"]


def test_joined_trees_end_and_their_lives_go_on_in_the_forest():
    events = [
        *PAIR,
        told(7, "forest", Joined(parts=("fig-1", "fig-2")), Sort.GROUP),
        told(7, "forest", Group(species="fig", form="forest", bench="house")),
        water(8, "forest", Sort.GROUP),
    ]
    book = book_at(events)
    assert [*book.kept] == ["forest"]
    assert book.benches["house"] == ("forest",)
    assert waterings(book.lives["forest"]) == [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0]
    assert waterings(book.lives["fig-1"]) == [1.0, 3.0, 5.0]


def test_a_watering_that_reached_two_parts_is_one_in_the_whole():
    events = [
        *ROW,
        water(1, "terrace", Sort.BENCH),
        told(2, "B3-1", Joined(parts=("B3-2",))),
    ]
    book = book_at(events)
    assert waterings(book.lives["B3-1"]) == [1.0]
    assert "B3-2" not in book.kept


def test_a_layer_has_its_mothers_past_and_its_own_future():
    events = [*PAIR, told(3.5, "fig-1", LayeredOff(new="fig-1b")), water(7, "fig-1b")]
    book = book_at(events)
    assert waterings(book.lives["fig-1b"]) == [1.0, 3.0, 7.0]
    assert waterings(book.lives["fig-1"]) == [1.0, 3.0, 5.0]
    assert book.kept["fig-1b"].bench == "terrace"


def test_lives_since_a_day_hold_that_day_and_the_book_is_the_same():
    events = [*PAIR, *exchanged(3)]
    recent, whole = book_at(events, since=day(4)), book_at(events)
    assert waterings(recent.lives["fig-1"]) == [5.0]
    assert (recent.kept, recent.benches) == (whole.kept, whole.benches)


# Whatever happens

NAMES = ["fig-1", "fig-2", "fig-3", "fig-4"]
BENCHES = ["terrace", "house"]
PLACES = st.none() | st.sampled_from([1.0, 2.0, 2.5, 3.0])
DESCRIBED = st.builds(
    Tree,
    species=st.just("fig"),
    bench=st.none() | st.sampled_from(BENCHES),
    place_n=PLACES,
    label=st.none() | st.sampled_from(["red", "blue"]),
)
REACHED = st.none() | st.builds(
    Reached,
    only=st.none() | st.lists(st.sampled_from(NAMES)).map(tuple),
    excepted=st.lists(st.sampled_from([*NAMES, "red"])).map(tuple),
    excepted_places_n=st.lists(st.sampled_from([1.0, 2.5])).map(tuple),
)
SIMPLE = st.one_of(
    DESCRIBED,
    st.builds(SetDown, bench=st.sampled_from(BENCHES), place_n=PLACES),
    st.just(Noted(text="a bird sat on it")),
    st.just(Watered()),
    st.just(Died()),
    st.just(Sent()),
    st.just(Returned()),
)
EXCHANGES = st.builds(LabelsExchanged, other=st.sampled_from(NAMES))
FAMILY = st.one_of(
    st.builds(Divided, into=st.just(("part-1", "part-2")), left_n=st.integers(0, 2)),
    st.builds(
        Joined,
        parts=st.lists(st.sampled_from(NAMES), min_size=1, unique=True).map(tuple),
    ),
    st.builds(LayeredOff, new=st.sampled_from(["layer-1", "layer-2"])),
)


@st.composite
def stories(draw, facts):
    """Draw events of all days but the same id and moment never twice."""
    said = draw(st.lists(st.tuples(st.sampled_from(NAMES), facts), max_size=30))
    events = [told(n, *pair, id=f"id-{n:02}") for n, pair in enumerate(said)]
    events = [e for e in events if getattr(e.facts, "other", None) != e.subject]
    for n in range(draw(st.integers(0, 3))):
        reached = draw(REACHED)
        at = draw(st.integers(0, 30)) + 0.5
        bench = draw(st.sampled_from(BENCHES))
        event = water(at, bench, Sort.BENCH, reached)
        events.append(replace(event, id=f"bench-{n}"))
    for n in range(draw(st.integers(0, 2))) if events else ():
        target = draw(st.sampled_from(events)).id
        events.append(told(40 + n, "fig-1", Corrected(event=target), id=f"void-{n}"))
    return events


ANY = stories(st.one_of(SIMPLE, EXCHANGES, FAMILY))


@given(ANY, st.randoms(use_true_random=False), st.none() | st.integers(0, 30).map(day))
def test_the_order_of_arrival_is_of_no_account(events, chance, at):
    shuffled = chance.sample(events, len(events))
    assert book_at(shuffled, at) == book_at(events, at)
    assert {*standing(shuffled)} == {*standing(events)}
    assert last_words(shuffled, Tree, at) == last_words(events, Tree, at)


@given(ANY)
def test_no_event_of_a_plant_is_lost(events):
    book = book_at(events)
    lived = {event.id for life in book.lives.values() for event in life}
    assert lived >= {e.id for e in standing(events) if e.sort is Sort.TREE}


@given(stories(st.one_of(SIMPLE, EXCHANGES)))
def test_without_divisions_each_event_is_in_one_life(events):
    """An exchange is in the two lives that it exchanges."""
    lives = book_at(events).lives
    lived = [e.id for life in lives.values() for e in life if e.sort is Sort.TREE]
    exchanges = [e.id for e in standing(events) if isinstance(e.facts, LabelsExchanged)]
    told_ids = [e.id for e in standing(events) if e.sort is Sort.TREE]
    assert sorted(lived) == sorted(told_ids + exchanges)


@given(ANY)
def test_who_is_here_stands_on_the_bench_that_it_says_and_on_no_other(events):
    book = book_at(events)
    stands = [(name, bench) for bench, walk in book.benches.items() for name in walk]
    says = [(n, kept.bench) for n, kept in book.kept.items() if kept.bench is not None]
    assert sorted(stands) == sorted(says)


@given(ANY)
def test_a_life_is_told_in_the_order_it_happened(events):
    for life in book_at(events).lives.values():
        assert [e.happened for e in life] == sorted(e.happened for e in life)
        assert len({e.id for e in life}) == len(life)


@given(ANY, st.integers(0, 30), st.sampled_from(["fig-2", "fig-3"]))
def test_to_exchange_twice_at_one_moment_is_to_exchange_nothing(events, n, other):
    twice = [
        told(n + 0.25, "fig-1", LabelsExchanged(other=other), id=f"twice-{k}")
        for k in range(2)
    ]
    plain, same = book_at(events), book_at([*events, *twice])
    assert same.benches == plain.benches
    assert same.kept == plain.kept


@given(ANY, st.integers(0, 30).map(day))
def test_the_book_of_then_knows_nothing_of_later(events, at):
    before = [e for e in events if e.happened <= at]
    voids = {e.facts.event for e in events if isinstance(e.facts, Corrected)}
    if not voids:
        assert book_at(events, at) == book_at(before)
