"""Today, from book and weather to the sentence at the bench."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from arbuscula.desk.answers import data
from arbuscula.desk.followed import followed, yarded_at
from arbuscula.desk.today import today
from arbuscula.desk.why import why
from arbuscula.kinds.events import (
    Checked,
    Corrected,
    Found,
    How,
    IntoHospital,
    LabelsExchanged,
    Reached,
    SetDown,
    Sort,
    Watered,
)
from arbuscula.kinds.round import Call
from arbuscula.kinds.said import ArbusculaError
from arbuscula.kinds.tree import Tree
from arbuscula.ledger.book import append
from tests.desk.made_yard import (
    BEGUN,
    NOW,
    desk_with,
    event,
    forecast,
    observe,
    yard,
)

SOAKED = NOW - timedelta(hours=24)


@pytest.fixture
def desk(tmp_path):
    """A terrace soaked yesterday, observed weather, a warm forecast."""
    desk = desk_with(tmp_path, benches=("terrace", "sill"))
    observe(desk)
    forecast(desk)
    soak = event("w1", Sort.BENCH, "terrace", Watered(), SOAKED)
    append(desk.ledger(), soak, event("w2", Sort.BENCH, "sill", Watered(), SOAKED))
    return desk


def tree(answer, label):
    trees = {t.label: t for bench in answer.benches for t in bench.trees}
    return trees[label]


def test_a_bench_in_sun_dries_sooner_than_a_sill(desk):
    answer = today(desk)
    assert [b.name for b in answer.benches] == ["Terrace", "Sill"]
    assert answer.rounds.in_hand.hour == 8
    assert answer.rounds.next.hour == 18
    terrace, sill = tree(answer, "T1"), tree(answer, "S1")
    assert terrace.p_due_next_round > sill.p_due_next_round
    assert terrace.due.p50 < (sill.due.p50 or NOW + timedelta(days=30))


def test_a_check_moves_its_own_tree_and_silences_no_other(desk):
    """What it teaches about the others may raise a warning, no more."""
    before = today(desk)
    found = Checked(how=How.FINGER, found=Found.DRY)
    append(desk.ledger(), event("c", Sort.TREE, "sill-2", found, NOW))
    after = today(desk)
    assert tree(after, "S2").p_due_next_round > tree(before, "S2").p_due_next_round
    assert tree(after, "S2").advice is Call.WATER
    for label in ("S1", "S3", "T1"):
        moved = tree(after, label).p_due_next_round
        assert 0 <= moved - tree(before, label).p_due_next_round < 0.2


def test_done_except_leaves_the_excepted_dry(desk):
    done = Watered(reached=Reached(excepted_places_n=(2.0,), excepted=("T4",)))
    at = NOW - timedelta(minutes=30)
    append(desk.ledger(), event("w3", Sort.BENCH, "terrace", done, at))
    answer = today(desk)
    wet = [tree(answer, f"T{n}").p_due_now for n in (1, 3, 5, 6)]
    dry = [tree(answer, f"T{n}").p_due_now for n in (2, 4)]
    assert max(wet) < min(dry)
    assert tree(answer, "T1").advice is Call.NOT_YET


def test_the_sentence_names_whom_to_water_and_whom_to_lift(desk):
    answer = data(today(desk), lambda said: f"{said.message_id} {said.figures}")
    sentence = answer["benches"][0]["sentence"]
    assert isinstance(sentence, str)
    assert sentence.startswith("round.")


def test_the_json_has_the_promised_shape(desk):
    said = data(today(desk), lambda said: said.message_id)
    assert said["schema"] == "arbuscula.today/1"
    assert {
        "at",
        "rounds",
        "weather",
        "bring_in",
        "benches",
        "check_first",
    } <= said.keys()
    stretch = said["weather"]["stretches"][0]
    assert {"from", "to", "source", "age_h"} <= stretch.keys()
    one = said["benches"][0]["trees"][0]
    assert {
        "tree",
        "label",
        "place",
        "advice",
        "p_due_now",
        "p_due_next_round",
        "due",
        "water_ml",
        "because",
    } <= one.keys()
    assert one["water_ml"] is None  # nobody has weighed it


def test_without_any_weather_it_rests_on_what_is_usual(tmp_path):
    answer = today(desk_with(tmp_path))
    assert {s.sort for s in answer.weather.stretches} == {"normals"}
    assert "weather.only_usual" in [note.message_id for note in answer.notes]
    assert answer.tonight.parts[0].message_id == "cold.unknown"


# Cold nights


def test_a_cold_night_brings_in_just_those_outdoors_at_one_in_ten(tmp_path):
    desk = desk_with(tmp_path, benches=("terrace", "sill"), trees_n=2)
    observe(desk)
    hardy = Tree(
        species="juniperus-chinensis", bench="terrace", label="J1", place_n=9.0
    )
    append(desk.ledger(), event("j", Sort.TREE, "juniper", hardy, BEGUN))
    forecast(desk, members_n=20, night_c=11.5, spread_c=2.0)  # three below 10
    answer = today(desk)
    assert {c.label for c in answer.bring_in} == {"T1", "T2"}
    assert answer.tonight.parts[0].message_id == "cold.bring_in"


def test_a_night_that_stays_warm_brings_nobody_in(tmp_path):
    desk = desk_with(tmp_path, trees_n=2)
    observe(desk)
    forecast(desk, members_n=20, night_c=14.0, spread_c=2.0)
    answer = today(desk)
    assert answer.bring_in == ()
    assert answer.tonight.parts[0].message_id == "cold.stay"


def test_one_in_fifty_under_the_damage_line_is_enough(tmp_path):
    desk = desk_with(tmp_path, trees_n=1)
    observe(desk)
    hardy = Tree(
        species="juniperus-chinensis", bench="terrace", label="J1", place_n=9.0
    )
    append(desk.ledger(), event("j", Sort.TREE, "juniper", hardy, BEGUN))
    forecast(desk, members_n=32, night_c=-15.6, spread_c=2.5)
    why_in = {c.label: c.why.message_id for c in today(desk).bring_in}
    assert why_in["J1"] in ("cold.damage", "cold.warn")


def test_a_forecast_older_than_a_day_leaves_tonight_unknown(tmp_path):
    desk = desk_with(tmp_path, trees_n=1)
    observe(desk)
    issued = NOW - timedelta(hours=25)
    forecast(desk, from_at=issued, hours_n=120, night_c=2.0, issued=issued)
    answer = today(desk)
    assert answer.tonight.parts[0].message_id == "cold.unknown"
    assert answer.bring_in == ()


# The book moves, and the answer with it


def test_a_tree_in_the_hospital_is_never_watered_by_inference(desk):
    at = NOW - timedelta(days=2)
    append(desk.ledger(), event("h", Sort.TREE, "terrace-1", IntoHospital(), at))
    sick = tree(today(desk), "T1")
    assert sick.advice is Call.CHECK
    assert sick.because[0].message_id == "care.hospital"
    found = Checked(how=How.FINGER, found=Found.DRY)
    append(desk.ledger(), event("c", Sort.TREE, "terrace-1", found, NOW))
    assert tree(today(desk), "T1").advice is Call.WATER


def test_a_correction_takes_an_event_back(desk):
    before = today(desk)
    wrong = event("w3", Sort.TREE, "terrace-1", Watered(), NOW - timedelta(hours=1))
    append(desk.ledger(), wrong)
    assert tree(today(desk), "T1").p_due_now < tree(before, "T1").p_due_now
    back = event("x", Sort.TREE, "terrace-1", Corrected(event="w3"), NOW)
    append(desk.ledger(), back)
    assert tree(today(desk), "T1") == tree(before, "T1")


def test_an_event_recorded_days_late_moves_its_tree_alone(desk, tmp_path):
    today(desk)  # leaves a snapshot
    late = NOW - timedelta(days=5)
    found = Checked(how=How.SKEWER, found=Found.DRY)
    append(desk.ledger(), event("c", Sort.TREE, "sill-3", found, late, written=NOW))
    warm = today(desk)
    cold = today(emptied(desk, tmp_path))
    assert data(warm) == data(cold)


def emptied(desk, tmp_path):
    """Return the same desk with its snapshots gone."""
    for path in (tmp_path / "snapshots").rglob("*.npz"):
        path.unlink()
    return desk


def test_from_a_snapshot_or_from_the_start_is_the_same(desk, tmp_path):
    first = today(desk)
    warm = today(desk)
    assert data(first) == data(warm)
    later = replace(desk, clock=lambda: NOW + timedelta(hours=3))
    assert data(today(later)) == data(today(emptied(later, tmp_path)))


def test_a_damaged_snapshot_is_followed_anew(desk, tmp_path):
    first = today(desk)
    paths = list((tmp_path / "snapshots").rglob("*.npz"))
    assert paths
    for path in paths:
        whole = bytearray(path.read_bytes())
        whole[len(whole) // 2] ^= 0xFF
        path.write_bytes(whole)
    assert data(today(desk)) == data(first)


def test_other_code_makes_snapshots_void(desk, tmp_path):
    today(desk)
    path = next((tmp_path / "snapshots").rglob("*.npz"))
    before = path.stat().st_mtime_ns
    today(replace(desk, code_digest=lambda: "other"))
    assert path.stat().st_mtime_ns != before


def test_weather_told_later_for_the_past_moves_the_answer(desk):
    before = tree(today(desk), "T1").p_due_now
    observe(desk, from_at=NOW - timedelta(days=4), rain_mm=2.0)
    assert tree(today(desk), "T1").p_due_now < before


def test_exchanged_labels_exchange_histories(desk):
    dry = event("c", Sort.TREE, "sill-1", Checked(how=How.FINGER, found=Found.DRY), NOW)
    append(desk.ledger(), dry)
    before = today(desk)
    swap = LabelsExchanged(other="sill-6")
    append(
        desk.ledger(), event("s", Sort.TREE, "sill-1", swap, NOW + timedelta(seconds=1))
    )
    after = today(replace(desk, clock=lambda: NOW + timedelta(seconds=2)))
    assert tree(before, "S1").advice is Call.WATER
    assert tree(after, "S6").p_due_next_round > tree(after, "S1").p_due_next_round


def exchanged(one, other, at):
    swap = LabelsExchanged(other=other)
    return event(f"{one} {other}", Sort.TREE, one, swap, at, written=NOW)


def test_labels_exchanged_after_a_snapshot_were_of_other_trees_in_it(desk, tmp_path):
    today(desk)  # leaves a snapshot of two days ago
    swaps = [
        exchanged("sill-2", "terrace-2", NOW - timedelta(days=4)),
        exchanged("terrace-1", "terrace-2", NOW - timedelta(days=1)),
    ]
    append(desk.ledger(), *swaps)
    warm = today(desk)
    assert data(warm) == data(today(emptied(desk, tmp_path)))


def test_who_was_exchanged_stands_where_the_book_says_however_long_ago_set_up(
    tmp_path,
):
    desk = desk_with(tmp_path, trees_n=2, benches=("terrace", "sill"))
    now = NOW + timedelta(days=120)
    late = replace(desk, clock=lambda: now)
    append(desk.ledger(), exchanged("sill-2", "terrace-2", now - timedelta(days=9)))
    yarded = yarded_at(late, None, now)
    replay = followed(late, yarded, now).replay
    told = {key: noun.bench for key, noun in replay.nouns.items()}
    assert told == {key: noun.bench for key, noun in yarded.nouns.items()}
    assert told["sill-2"] == "terrace"


def test_a_tree_carried_to_another_bench_is_told_there(desk):
    moved = SetDown(bench="sill", place_n=20.0)
    append(desk.ledger(), event("m", Sort.TREE, "terrace-1", moved, NOW))
    answer = today(desk)
    places = {b.name: [t.label for t in b.trees] for b in answer.benches}
    assert "T1" in places["Sill"]
    assert "T1" not in places["Terrace"]


# Clocks and places


@pytest.mark.parametrize(
    ("now", "hours"),
    [
        (datetime(2026, 10, 24, 16, 30, tzinfo=UTC), 15),  # the night is an hour longer
        (datetime(2027, 3, 27, 17, 30, tzinfo=UTC), 13),
        (datetime(2028, 2, 28, 17, 30, tzinfo=UTC), 14),
        (datetime(2026, 12, 31, 17, 30, tzinfo=UTC), 14),
    ],
)
def test_clock_changes_leap_days_and_new_year(tmp_path, now, hours):
    answer = today(desk_with(tmp_path, now=now, trees_n=1))
    length = answer.rounds.next.astimezone(UTC) - answer.rounds.in_hand.astimezone(UTC)
    assert length == timedelta(hours=hours)


def test_a_southern_yard_has_its_summer_in_january(tmp_path):
    cape = yard(latitude_deg=-33.9, longitude_deg=18.4, timezone="Africa/Johannesburg")
    chances = []
    for n, month in enumerate((1, 7)):
        now = datetime(2027, month, 20, 6, 5, tzinfo=UTC)
        desk = desk_with(tmp_path / f"{n}", now=now, trees_n=1, yard_said=cape)
        soak = event("w", Sort.BENCH, "terrace", Watered(), now - timedelta(days=1))
        append(desk.ledger(), soak)
        chances.append(tree(today(desk), "T1").p_due_next_round)
    assert chances[0] > chances[1]


def test_unknown_names_are_told_with_the_nearest(desk):
    with pytest.raises(ArbusculaError) as error:
        why(desk, "T11")
    assert "T1" in error.value.faults[0].figures["near"]
    with pytest.raises(ArbusculaError) as error:
        today(desk, yard="Stone Stare")
    assert error.value.faults[0].figures["near"] == "Stone Stair"


def test_why_tells_guesses_events_and_grounds(desk):
    answer = why(desk, "T1")
    assert [e.kind for e in answer.events][-1] == "watered"
    assert "why.guessed_leaf" in [g.message_id for g in answer.guessed]
    assert answer.walls.message_id == "why.walls_unknown"
    assert "unknown walls, absorbed_frac" in [g.name for g in answer.grounds]
    assert answer.grounds[0].grade == "assumed"
    assert answer.left_frac.p10 <= answer.left_frac.p50 <= answer.left_frac.p90
    assert np.isfinite(answer.demand_ratio.p50)


def test_a_book_without_a_yard_says_what_to_do(tmp_path):
    desk = desk_with(tmp_path / "other")
    empty = replace(desk, ledger=desk_with(tmp_path / "x", benches=()).ledger)
    assert today(empty).benches == ()
    from arbuscula.start import desk_at

    with pytest.raises(ArbusculaError) as error:
        today(desk_at(tmp_path / "bare"))
    assert error.value.faults[0].message_id == "desk.no_yard"


def test_every_bench_is_asked_for_whoever_stood_there_and_for_nobody_else(tmp_path):
    """Whom a bench was never asked for would seem to use no water there."""
    desk = desk_with(tmp_path, trees_n=2, benches=("terrace", "sill", "shed"))
    said = Tree(species="ficus-benjamina", bench="sill", label="W")
    moved, later = NOW - timedelta(days=9), NOW - timedelta(days=8)
    append(
        desk.ledger(),
        event("w", Sort.TREE, "w", said, BEGUN),
        event("m", Sort.TREE, "w", SetDown(bench="terrace"), moved),
        event("x", Sort.TREE, "w", LabelsExchanged(other="shed-1"), later),
    )
    now = followed(desk, yarded_at(desk, None, NOW), NOW)
    micro, weeping = "ficus-microcarpa", "ficus-benjamina"
    benches = ("shed", "sill", "terrace")
    assert now.pull.pairs.keys() >= {
        *((bench, micro) for bench in benches),
        *((bench, weeping) for bench in ("sill", "terrace")),
    }
    assert (now.replay.trees.pair >= 0).all()
    quiet = desk_with(tmp_path / "quiet", trees_n=1, benches=("terrace", "sill"))
    append(quiet.ledger(), event("w", Sort.TREE, "w", said, BEGUN))
    asked = followed(quiet, yarded_at(quiet, None, NOW), NOW).pull.pairs
    assert ("terrace", weeping) not in asked
