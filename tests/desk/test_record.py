from datetime import UTC, timedelta

import pytest

from arbuscula.desk.bench import show_bench
from arbuscula.desk.record import RecordWish, record_all, undo
from arbuscula.desk.tree import list_trees, show_tree
from arbuscula.desk.yard import add_yard
from arbuscula.kinds import events as told
from arbuscula.kinds.events import KINDS, Found, How, Sort
from arbuscula.kinds.person import Person
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import NotDoneError
from arbuscula.kinds.substrate import MixPart
from arbuscula.kinds.supplies import Money
from arbuscula.ledger.book import all_events, position
from arbuscula.ledger.persons import keep_person
from tests.desk.stair import NOW, bench, facts_of, faults, later, life, rec, stair, tree


@pytest.fixture
def desk(tmp_path):
    return stair(tmp_path)


def reached(desk, subject, words, **wish):
    (event,) = rec(desk, subject, words, **wish).events
    return event.reached, event.missed


# Checks


@pytest.mark.parametrize(
    ("words", "how", "found"),
    [
        ("check half", How.LIFTED, Found.HALF),
        ("check dry", How.FINGER, Found.DRY),
        ("check finger dry", How.FINGER, Found.DRY),
        ("check skewer wet", How.SKEWER, Found.WET),
        ("checked lifted light", How.LIFTED, Found.LIGHT),
        ("CHECK Drains slowly", How.SEEN, Found.DRAINS_SLOWLY),
        ("check ran straight through", How.SEEN, Found.RAN_STRAIGHT_THROUGH),
        ("check how=surface found=moist", How.SURFACE, Found.MOIST),
        ("check surface found=moist", How.SURFACE, Found.MOIST),
    ],
)
def test_a_bare_word_finds_how_somebody_looked(desk, words, how, found):
    assert facts_of(desk, "B3-4", words) == told.Checked(how=how, found=found)


def test_every_finding_can_be_said_alone(desk):
    for how, findings in told.FINDINGS.items():
        for found in findings:
            facts = facts_of(desk, "B3-4", f"check {how} {found}")
            assert facts == told.Checked(how=how, found=found)


@pytest.mark.parametrize(
    ("words", "near"),
    [("check halve", "half"), ("check lifted dry", "light"), ("check damp", "dry")],
)
def test_a_finding_that_is_none_names_those_near_it(desk, words, near):
    odd = faults(desk, lambda: rec(desk, "B3-4", words))
    assert near in odd["record.no_finding"]["near"]


# Every other kind


@pytest.mark.parametrize(
    ("words", "facts"),
    [
        (["watered"], told.Watered()),
        (["watered", "800"], told.Watered(given_ml=800.0)),
        (["weighed", "2350", "drained=yes"], told.Weighed(mass_g=2350.0, drained=True)),
        (["set", "down", "bench 3", "place_n=4.5"],
         told.SetDown(bench="Bench 3", place_n=4.5)),
        (["labels", "exchanged", "b3-9"], told.LabelsExchanged(other="B3-9")),
        (["divided", "B3-4,F1"], told.Divided(into=("B3-4", "F1"))),
        (["layered off", "L1"], told.LayeredOff(new="L1")),
        (["died", "dried", "out"], told.Died(because="dried out")),
        (["into hospital"], told.IntoHospital()),
        (["pest seen", "spider", "mite", "seen_n=3"],
         told.PestSeen(pest="spider mite", seen_n=3)),
        (["leaves dropping", "yes", "colour=yellow"],
         told.LeavesDropping(many=True, colour="yellow")),
        (["wired", "metal=Copper", "gauge_mm=2.5"],
         told.Wired(metal="copper", gauge_mm=2.5)),
        (["slip potted", "round 20 x 8 cm"],
         told.SlipPotted(pot=Pot(shape="round", diameter_mm=200.0, depth_mm=80.0))),
        (["priced", "45.50 eur"],
         told.Priced(price=Money(coins_n=4550, currency="EUR"))),
        (["priced", "4500 JPY"],
         told.Priced(price=Money(coins_n=4500, currency="JPY"))),
        (["noted", "pH=6,", "as", "last=year"],
         told.Noted(text="pH=6, as last=year")),
        (["trunk", "52"], told.Measured(
            reading=told.Reading(quantity="trunk_mm", value=52.0))),
        (["measured", "trunk_mm", "52", "with", "callipers", "standard_error=0.5"],
         told.Measured(reading=told.Reading(quantity="trunk_mm", value=52.0,
                                            standard_error=0.5, how="with callipers"))),
        (["tree set", "crown=large"],
         told.Tree(species="ficus-microcarpa", crown="large")),
    ],
)  # fmt: skip
def test_words_become_the_facts_of_their_kind(desk, words, facts):
    assert facts_of(desk, "B3-4", words) == facts


def test_pot_and_mix_are_read_as_everywhere(desk):
    words = ["repotted", "pot=oval 235 x 180 x 70", "mix=1 pumice 4 mm, 2 akadama"]
    facts = facts_of(desk, "B3-4", [*words, "removed_frac=0.25"])
    assert facts.pot == Pot(shape="oval", length_mm=235, width_mm=180, depth_mm=70)
    assert facts.mix == {
        "pumice": MixPart(share=1, grain_mm=4),
        "akadama": MixPart(share=2),
    }
    assert show_tree(desk, "B3-4").here.said.pot == facts.pot


def test_a_mix_may_have_a_name_of_its_own(desk):
    rec(desk, "Summer mix", ["mix set", "mix=3 pumice, 1 pine-bark"])
    facts = facts_of(desk, "B3-4", ["repotted", "mix=summer mix"])
    assert facts.mix == {"pumice": MixPart(share=3), "pine-bark": MixPart(share=1)}


def test_a_frosty_night_belongs_to_the_yard(desk):
    facts = facts_of(desk, "stone stair", "night_min -3.5")
    assert facts.reading == told.Reading(quantity="night_min_c", value=-3.5)


@pytest.mark.parametrize(
    ("words", "near"),
    [
        ("watred", "watered"),
        ("repot pot=x", "repotted"),
        ("set doun", "set down"),
        ("nigth_min 3", "night_min"),
        ("zzzz", "watered"),
    ],
)
def test_a_kind_that_is_none_names_those_near_it(desk, words, near):
    odd = faults(desk, lambda: rec(desk, "B3-4", words))
    assert near in odd["record.unknown_kind"]["near"]


def test_a_key_that_is_none_names_those_near_it(desk):
    words = ["repotted", "removd_frac=0.2", "tied=perhaps", "pot=oval"]
    odd = faults(desk, lambda: rec(desk, "B3-4", words))
    assert odd["file.unknown_key"]["near"] == "removed_frac"
    assert odd["file.fault"]["key"] == "tied"
    assert "pot.not_read_in" in odd


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        ([], "record.unknown_kind"),
        (["weighed"], "file.missing_key"),
        (["weighed", "heavy"], "file.fault"),
        (["weighed", "-5"], "file.fault"),
        (["weighed", "1", "mass_g=2"], "record.twice"),
        (["flush hardened", "yes"], "record.too_much"),
        (["night_min"], "record.no_number"),
        (["trunk", "thick"], "file.fault"),
        (["corrected", "event=x"], "record.use_undo"),
        (["priced", "45.505 EUR"], "money.not_read_in"),
        (["set down", "Bench 9"], "name.unknown_in"),
        (["divided", "X,X"], "file.fault"),
    ],
)
def test_what_cannot_be_read_is_told_and_not_written(desk, words, fault):
    assert fault in faults(desk, lambda: rec(desk, "B3-4", words))


@pytest.mark.parametrize(
    ("subject", "words"),
    [("Stone Stair", "watered"), ("Bench 3", "check half"), ("B3-4", "yard set")],
)
def test_a_kind_is_said_only_of_what_it_can_happen_to(desk, subject, words):
    odd = faults(desk, lambda: rec(desk, subject, words))
    assert odd["record.not_of_this"]["found"] == subject


def test_all_kinds_but_the_correction_can_be_named(desk):
    """A kind that nobody can write down may as well not be there."""
    for kind in {*KINDS} - {"corrected"}:
        odd = {}
        try:
            rec(desk, "B3-4", [kind])
        except Exception as error:  # noqa: BLE001 - the kinds want different facts
            odd = {fault.message_id for fault in error.faults}
        assert "record.unknown_kind" not in odd, kind


# Whom it is about


def test_several_are_told_with_commas(desk):
    answer = rec(desk, "B3-4, b3-9,B3-4", "weighed 2350")
    assert [event.subject for event in answer.events] == ["B3-4", "B3-9"]


def test_all_unknown_names_are_told_at_once_and_nobody_is_written(desk):
    odd = faults(desk, lambda: rec(desk, "B3-4,B3-40", "watered"))
    assert "B3-4" in odd["name.unknown"]["near"]


def test_bench_done_except_is_one_event_that_names_the_bench(desk):
    before = position(desk.ledger())
    counted, missed = reached(desk, "bench 3", "watered", excepted="3,10-11, b3-12")
    assert missed == ("B3-3", "B3-10", "B3-11", "B3-12")
    assert counted == ("B3-1", "B3-2", *(f"B3-{n}" for n in range(4, 10)))
    assert position(desk.ledger()) == before + 1
    (last,) = (e for e in all_events(desk.ledger()) if e.kind == "watered")
    assert (last.sort, last.subject) == (Sort.BENCH, "Bench 3")
    assert last.facts.reached.excepted_places_n == (3.0, 10.0, 11.0)
    assert last.facts.reached.excepted == ("B3-12",)


def test_only_some_of_a_bench(desk):
    counted, _ = reached(desk, "Bench 3", "watered", only="2 5, B3-7")
    assert counted == ("B3-2", "B3-5", "B3-7")


def test_a_place_is_that_of_the_walk_and_else_the_number_on_the_label(desk):
    """B3-2 was put between 11 and 12: place 2 is empty, so 2 can only be B3-2."""
    rec(desk, "B3-2", ["set down", "Bench 3", "place_n=11.5"])
    for word in ("2", "11.5", "B3-2"):
        assert reached(later(desk, minutes=1), "Bench 3", "watered", excepted=word)[
            1
        ] == ("B3-2",)


@pytest.mark.parametrize("nobody", ["99", "B3-99", "3, 99", "G-1"])
def test_an_exception_that_stands_elsewhere_is_told(desk, nobody):
    bench(desk, "Glasshouse", trees_n=1, each={"species": "ficus-microcarpa"})
    odd = faults(desk, lambda: rec(desk, "Bench 3", "watered", excepted=nobody))
    assert odd["record.not_there"]["subject"] == "Bench 3"


def test_work_that_reaches_nobody_is_not_written(desk):
    odd = faults(
        desk,
        lambda: rec(desk, "Bench 3", "watered", at="2026-05-01 08:00"),
        NotDoneError,
    )
    assert odd["record.nobody"]["subject"] == "Bench 3"
    everybody = ",".join(str(n) for n in range(1, 13))
    faults(
        desk,
        lambda: rec(desk, "Bench 3", "watered", excepted=everybody),
        NotDoneError,
    )


def test_exceptions_are_of_benches_and_lines_alone(desk):
    odd = faults(desk, lambda: rec(desk, "B3-4", "watered", excepted="3"))
    assert [*odd] == ["record.not_of_this"]


def test_a_line_waters_whoever_hangs_on_it(desk):
    bench(desk, "Glasshouse", trees_n=1, each={"species": "ficus-microcarpa"})
    drip = ["source set", "way=drip line", "reaches=Glasshouse, B3-4"]
    rec(desk, "Drip 1", drip)
    later_desk = later(desk, hours=1)
    assert reached(later_desk, "drip 1", "watered 500")[0] == ("B3-4", "G-1")
    assert reached(later_desk, "Drip 1", "watered", excepted="B3-4")[1] == ("B3-4",)


def test_supplies_are_set_again_and_what_was_not_said_stays(desk):
    rec(desk, "Drip 1", ["source set", "way=drip line", "reaches=Bench 3"])
    rec(later(desk, hours=1), "drip 1", ["source set", "flow_ml_h=2000"])
    facts = all_events(desk.ledger())[-1].facts
    assert (facts.name, facts.flow_ml_h, facts.reaches) == (
        "Drip 1",
        2000.0,
        ("Bench 3",),
    )


def test_trees_are_joined_into_a_forest_of_a_new_name(desk):
    rec(desk, "Forest", "joined B3-1,B3-2")
    assert show_tree(desk, "forest").here.sort is Sort.GROUP
    assert len(list_trees(desk).trees) == 12 - 2 + 1


@pytest.mark.parametrize("words", ["divided B3-4,B3-9", "layered off B3-9"])
def test_a_part_needs_a_name_that_nobody_ever_had(desk, words):
    odd = faults(desk, lambda: rec(desk, "B3-4", words), NotDoneError)
    assert odd["name.taken"]["found"] == "B3-9"
    rec(desk, "B3-9", "died")
    odd = faults(later(desk, hours=1), lambda: rec(desk, "B3-4", words), NotDoneError)
    assert odd["name.taken"]["found"] == "B3-9"


def test_whoever_is_gone_still_answers_to_a_label_given_later(desk):
    rec(desk, "B3-9", "tree set label=Elder", at="2026-06-20 08:00")
    rec(desk, "Elder", "died", at="2026-07-02 08:00")
    rec(desk, "Elder", "watered", at="2026-07-01 08:00")
    assert [kind for kind, _ in life(desk, "B3-9")][-2:] == ["watered", "died"]


def test_a_label_is_not_hung_on_two(desk):
    odd = faults(
        desk, lambda: rec(desk, "B3-4", ["tree set", "label=B3-9"]), NotDoneError
    )
    assert odd["name.taken"]["found"] == "B3-9"


# When


@pytest.mark.parametrize(
    ("words", "utc"),
    [
        ("2026-07-06 08:00", "2026-07-06T06:00"),  # summer: two hours ahead
        ("2026-07-06T08:00", "2026-07-06T06:00"),
        ("2026-01-06 08:00", "2026-01-06T07:00"),  # winter: one
        ("2026-07-06T08:00Z", "2026-07-06T08:00"),
        ("2026-07-06T08:00-05:00", "2026-07-06T13:00"),
        ("08:00", "2026-07-08T06:00"),
        ("7:30", "2026-07-08T05:30"),
        ("2026-07-06", "2026-07-06T10:00"),  # its noon
        ("2026-03-29 01:59", "2026-03-29T00:59"),  # the minute before the jump
        ("2026-03-29 03:00", "2026-03-29T01:00"),  # the minute after it
        ("2025-10-26 02:30+02:00", "2025-10-26T00:30"),
        ("2025-10-26 02:30+01:00", "2025-10-26T01:30"),
        ("2024-02-29 12:00", "2024-02-29T11:00"),
    ],
)
def test_a_time_is_on_the_yards_clock(desk, words, utc):
    (event,) = rec(desk, "B3-4", "watered", at=words).events
    assert event.at.astimezone(UTC).isoformat(timespec="minutes") == f"{utc}+00:00"
    assert event.at.utcoffset() in (timedelta(hours=1), timedelta(hours=2))


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        ("2026-03-29 02:30", "time.skipped"),
        ("2025-10-26 02:30", "time.twice"),
        ("2026-02-29", "time.not_read"),
        ("yesterday", "time.not_read"),
        ("25:00", "time.not_read"),
        ("0001-01-01", "time.not_read"),
        ("08:11", "time.to_come"),
        ("2026-07-09", "time.to_come"),
    ],
)
def test_a_time_that_cannot_be(desk, words, fault):
    odd = faults(desk, lambda: rec(desk, "B3-4", "watered", at=words))
    assert odd[fault]["found"] == words


def test_both_offsets_of_an_hour_shown_twice_are_told(desk):
    odd = faults(desk, lambda: rec(desk, "B3-4", "watered", at="2025-10-26 02:30"))
    assert odd["time.twice"]["offsets"] == "+02:00 or +01:00"


def test_a_southern_yard_has_its_own_clock(desk):
    add_yard(desk, "Quay", "-33.9,18.4")
    bench(desk, "Wall", yard="Quay", trees_n=1, each={"species": "ficus-microcarpa"})
    (event,) = rec(later(desk, hours=1), "W-1", "watered", at="08:30").events
    assert event.at.isoformat() == "2026-07-08T08:30:00+02:00"
    (event,) = rec(later(desk, hours=1), "Quay", "night_min 7").events
    assert event.at.utcoffset() == timedelta(hours=2)


def test_a_name_is_that_of_the_time_it_tells_of(desk):
    """Label B3-4 hung on another tree in June than in July."""
    rec(desk, "B3-4", "died", at="2026-06-20 08:00")
    new = tree(desk, "Bench 3", "B3-4", since="2026-07-01").tree.tree
    rec(desk, "B3-4", "watered 300", at="2026-06-10 08:00")
    rec(desk, "B3-4", "watered 400", at="2026-07-06 08:00")
    events = [e for e in all_events(desk.ledger()) if e.kind == "watered"]
    assert [e.subject for e in events] == ["B3-4", new]


# Sent twice, taken back


def test_sent_twice_is_stored_once(desk):
    first = rec(desk, "B3-4", "watered 300", id="phone-7")
    before = position(desk.ledger())
    again = rec(later(desk, minutes=3), "B3-4", "watered 300", id="phone-7")
    assert position(desk.ledger()) == before
    assert again.sent_before
    assert again.events == first.events


def test_several_sent_twice_are_stored_once(desk):
    rec(desk, "B3-4,B3-5", "watered 300", id="phone-7")
    again = rec(desk, "B3-4,B3-5", "watered 300", id="phone-7")
    assert [event.id for event in again.events] == ["phone-7-1", "phone-7-2"]
    assert life(desk, "B3-4") == [("tree set", None), ("watered", None)]


@pytest.mark.parametrize("words", ["joined B3-1,B3-2", "divided X1,X2"])
def test_what_gives_new_names_can_be_sent_twice_as_well(desk, words):
    subject = "Forest" if words.startswith("joined") else "B3-4"
    rec(desk, subject, words, id="phone-8")
    assert rec(later(desk, minutes=1), subject, words, id="phone-8").sent_before


@pytest.mark.parametrize(
    ("subject", "words", "wish"),
    [
        ("B3-5", "watered 300", {}),
        ("B3-4", "watered 900", {}),
        ("B3-4", "check dry", {}),
        ("B3-4", "watered 300", {"at": "08:00"}),
        ("B3-4", "watered 300", {"by": "p-2"}),
    ],
)
def test_another_event_under_the_same_id_is_refused(desk, subject, words, wish):
    keep_person(desk.ledger(), Person(id="p-2", role="helper", name="Ondine"))
    rec(desk, "B3-4", "watered 300", id="phone-7")
    odd = faults(
        desk, lambda: rec(desk, subject, words, id="phone-7", **wish), NotDoneError
    )
    assert odd["ledger.conflict"] == {"event": "phone-7"}


def test_taken_back_it_stays_in_the_book_and_counts_for_nobody(desk):
    (event,) = rec(desk, "Bench 3", "watered", excepted="3").events
    (taker,) = undo(later(desk, minutes=1), event.id, because="only said so").events
    assert taker.reached == event.reached
    assert taker.facts == told.Corrected(event=event.id, because="only said so")
    assert life(desk, "B3-4") == [("tree set", None), ("watered", taker.id)]


def test_what_was_taken_back_can_be_given_again(desk):
    (event,) = rec(desk, "B3-4", "check dry").events
    (taker,) = undo(desk, event.id).events
    undo(desk, taker.id)
    assert ("checked", None) in life(desk, "B3-4")


def test_it_is_not_taken_back_twice(desk):
    (event,) = rec(desk, "B3-4", "check dry").events
    undo(desk, event.id)
    odd = faults(desk, lambda: undo(desk, event.id), NotDoneError)
    assert odd == {"record.undone_already": {"event": event.id}}


def test_the_first_letters_of_an_id_will_do(desk):
    (event,) = rec(desk, "B3-4", "check dry").events
    (taker,) = undo(desk, event.id[:8]).events
    assert taker.facts.event == event.id


@pytest.mark.parametrize("odd_id", ["nothing", "", "new", "new b3-1?"])
def test_an_event_that_is_none(desk, odd_id):
    assert [*faults(desk, lambda: undo(desk, odd_id))] == ["record.no_event"]


def test_several_wishes_are_one_batch_or_none(desk):
    good = RecordWish(subject="B3-4", words=("watered",))
    bad = RecordWish(subject="B3-4", words=("watred",))
    faults(desk, lambda: record_all(desk, [good, bad]))
    assert len(record_all(desk, [good, good]).events) == 2


def test_a_moved_tree_is_reached_where_it_stood(desk):
    bench(desk, "Glasshouse")
    rec(desk, "B3-4", "set down Glasshouse", at="2026-07-01 08:00")
    old, _ = reached(desk, "Bench 3", "watered", at="2026-06-30 08:00")
    new, _ = reached(desk, "Bench 3", "watered", at="2026-07-02 08:00")
    assert {*old} - {*new} == {"B3-4"}
    assert [row.label for row in show_bench(desk, "Glasshouse").trees] == ["B3-4"]


def test_the_clock_is_the_desks_own(desk):
    (event,) = rec(desk, "B3-4", "watered").events
    assert event.at == NOW
