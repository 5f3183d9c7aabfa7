from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from arbuscula.kinds.round import Call
from arbuscula.plan.rounds import rounds_around, sentences_of

TWICE = (time(8), time(18))


def at(text, zone="Europe/Rome"):
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone))


@pytest.mark.parametrize(
    ("now", "in_hand", "following"),
    [
        ("2026-07-01T08:10", "2026-07-01T08:00", "2026-07-01T18:00"),
        ("2026-07-01T10:00", "2026-07-01T08:00", "2026-07-01T18:00"),
        ("2026-07-01T10:01", "2026-07-01T18:00", "2026-07-02T08:00"),
        ("2026-07-01T21:00", "2026-07-02T08:00", "2026-07-02T18:00"),
        ("2026-12-31T20:30", "2027-01-01T08:00", "2027-01-01T18:00"),
        ("2028-02-28T20:30", "2028-02-29T08:00", "2028-02-29T18:00"),
    ],
)
def test_in_hand_is_the_last_of_two_hours_or_the_first_to_come(now, in_hand, following):
    rounds = rounds_around(at(now), TWICE, "Europe/Rome")
    assert rounds.in_hand == at(in_hand)
    assert rounds.next == at(following)


def test_rounds_keep_their_clock_when_summer_time_ends():
    rounds = rounds_around(at("2026-10-24T18:30"), TWICE, "Europe/Rome")
    assert rounds.next == at("2026-10-25T08:00")
    hours = rounds.next.astimezone(UTC) - rounds.in_hand.astimezone(UTC)
    assert hours == timedelta(hours=15)


def test_a_southern_yard_walks_by_its_own_clock():
    noon = datetime(2026, 7, 1, 6, 5, tzinfo=UTC)
    rounds = rounds_around(noon, TWICE, "Africa/Johannesburg")
    assert rounds.in_hand == at("2026-07-01T08:00", "Africa/Johannesburg")


@given(
    st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1)),
    st.sampled_from(["Europe/Rome", "Asia/Kathmandu", "America/St_Johns", "UTC"]),
    st.sets(
        st.times().map(lambda t: t.replace(second=0, microsecond=0)),
        min_size=1,
        max_size=5,
    ),
)
def test_rounds_lie_in_order_and_the_one_in_hand_is_near(moment, zone, times):
    now = moment.replace(tzinfo=UTC)
    rounds = rounds_around(now, sorted(times), zone)
    walks = [w.timestamp() for w in (rounds.in_hand, rounds.next, *rounds.after)]
    assert walks == sorted(walks)
    assert rounds.in_hand >= now - timedelta(hours=2)
    assert rounds.next > now


def said(pairs):
    called = [(name, Call(call)) for name, call in pairs]
    return [(s.message_id, s.figures["which_places"]) for s in sentences_of(called)]


def test_a_bench_in_one_breath():
    calls = dict.fromkeys(["1", "2", "5", "6", "7", "8", "9"], "water")
    calls |= dict.fromkeys(["4", "11"], "check") | dict.fromkeys(
        ["3", "10", "12"], "not yet"
    )
    in_order = sorted(calls.items(), key=lambda pair: int(pair[0]))
    assert said(in_order) == [
        ("round.water", "1 2 5..9"),
        ("round.lift", "4 11"),
        ("round.not_yet", "3 10 12"),
    ]


def test_labels_stand_beside_numbers():
    pairs = [("1", "water"), ("2", "water"), ("3", "water"), ("old oak", "water")]
    assert said(pairs)[0][1].startswith("1..3")


def test_an_empty_bench_says_nothing():
    assert said([]) == []


def test_a_label_of_several_words_stays_one():
    (said,) = sentences_of([("Tray 1", Call.WATER)])
    assert said.figures["which_places"].split(" ") == ["Tray\u00a01"]
