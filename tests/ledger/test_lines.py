import json
from dataclasses import MISSING, fields, is_dataclass, replace
from datetime import UTC, datetime, timedelta, timezone
from types import NoneType
from typing import get_args, get_type_hints
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given

from arbuscula.kinds.events import (
    FINDINGS,
    KIND_OF,
    KINDS,
    Checked,
    Corrected,
    Divided,
    Found,
    How,
    Joined,
    LabelsExchanged,
    LayeredOff,
    Measured,
    Reading,
    Repotted,
)
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import ArbusculaError
from arbuscula.kinds.substrate import MixPart
from arbuscula.ledger.lines import (
    event_from_line,
    event_from_row,
    line_from_event,
    row_from_event,
    stored_event,
)
from tests.anything import events
from tests.ledger.cans import AT, CAN

ROME = ZoneInfo("Europe/Rome")


def faults(line):
    with pytest.raises(ArbusculaError) as error:
        event_from_line(line, name="line 3")
    told = [fault.figures for fault in error.value.faults]
    assert {figures["file"] for figures in told} == {"line 3"}
    return {str(f.get("key")): str(f["found"]) for f in told}


def line_with(**changed):
    return json.dumps(json.loads(line_from_event(CAN)) | changed)


def in_utc(event):
    """Return an event as it comes back.

    Where clocks go back, Python holds one moment in two zones to be unequal.
    """
    happened, written = (at.astimezone(UTC) for at in (event.happened, event.written))
    return replace(event, happened=happened, written=written)


@given(events())
def test_any_event_survives_both_ways(event):
    line = line_from_event(event)
    assert event_from_line(line, name="it") == in_utc(event)
    assert line.isascii()
    assert "\n" not in line
    row = row_from_event(event)
    assert event_from_row(row, name="it") == stored_event(row) == in_utc(event)


@given(events(), events())
def test_times_in_the_store_sort_as_times_do(one, two):
    rows = row_from_event(one), row_from_event(two)
    one, two = in_utc(one), in_utc(two)
    assert (rows[0]["happened"] < rows[1]["happened"]) == (one.happened < two.happened)


def test_the_text_form_is_this():
    summer = AT.astimezone(timezone(timedelta(hours=2)))
    assert line_from_event(replace(CAN, happened=summer)) == (
        '{"by":"p-2","facts":{"given_ml":900.0},'
        '"happened":"2026-07-06T06:00:00.000000+00:00","id":"phone-1-17",'
        '"kind":"watered","sort":"tree","subject":"fig-7",'
        '"written":"2026-07-06T06:00:00.000000+00:00"}'
    )


def test_nouns_inside_facts_come_back_as_nouns():
    pot = Pot(shape="round", depth_mm=70.0, diameter_mm=180.0)
    mix = {"pumice": MixPart(share=3.0, grain_mm=3.0), "akadama": 4.0}
    event = replace(CAN, kind="repotted", facts=Repotted(pot=pot, mix=mix))
    assert event_from_line(line_from_event(event), name="it") == event


def test_a_time_may_be_told_in_any_zone():
    read = event_from_line(line_with(happened="2026-07-06T08:00:00+02:00"), name="it")
    assert read == CAN


def test_the_hour_that_comes_twice_is_two_hours():
    """Trieste, 25 October 2026: 02:30 in summer time, an hour later 02:30 again."""
    hours = [datetime(2026, 10, 25, 2, 30, tzinfo=ROME, fold=fold) for fold in (0, 1)]
    told = [row_from_event(replace(CAN, happened=hour))["happened"] for hour in hours]
    assert told == [f"2026-10-25T0{n}:30:00.000000+00:00" for n in (0, 1)]


def test_every_fault_of_a_line_is_told_at_once():
    line = line_with(
        happened="2026-07-06T08:00:00",
        written="soon",
        sort="trees",
        thirst=1,
        facts={"given_ml": "much", "gven_ml": 3},
    )
    assert faults(line) == {
        "happened": "2026-07-06T08:00:00",
        "written": "'soon'",
        "sort": "'trees'",
        "thirst": "1",
        "facts.given_ml": "'much'",
        "facts.gven_ml": "3",
    }


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("", "Expecting value"),
        ("{", "Expecting property name"),
        ('{"id":"a","id":"b"}', "twice the same key"),
        ("[" * 100_000, "recursion"),
    ],
)
def test_what_is_not_json_is_told_with_its_place(line, found):
    (told,) = faults(line).values()
    assert found in told


@pytest.mark.parametrize("line", ["[]", "7", "null", '"event"'])
def test_what_is_no_table_is_told(line):
    assert faults(line) == {"": line}


@pytest.mark.parametrize("kind", ['"Watered"', "null", "[]", '"watered "'])
def test_an_unknown_kind_is_told(kind):
    assert faults(line_with(kind=json.loads(kind))) == {"kind": kind}


@pytest.mark.parametrize("number", ["NaN", "-Infinity", "1e999", "-1", f"1{'0' * 400}"])
def test_a_number_that_is_no_amount_is_told(number):
    line = line_from_event(CAN).replace("900.0", number)
    assert [*faults(line)] == ["facts.given_ml"]


@pytest.mark.parametrize(
    ("kind", "facts", "key"),
    [
        ("checked", Checked(how=How.LIFTED, found=Found.DRY), "facts.found"),
        ("checked", Checked(how=How.FINGER, found=Found.HALF), "facts.found"),
        ("labels exchanged", LabelsExchanged(other="fig-7"), "facts.other"),
        ("layered off", LayeredOff(new="fig-7"), "facts.new"),
        ("divided", Divided(into=()), "facts"),
        ("divided", Divided(into=("a", "a")), "facts"),
        ("joined", Joined(parts=()), "facts"),
        ("corrected", Corrected(event="phone-1-17"), "facts.event"),
        (
            "measured",
            Measured(reading=Reading(quantity="height", value=1.0)),
            "facts.reading.quantity",
        ),
    ],
)
def test_what_each_field_allows_and_the_whole_does_not_is_told(kind, facts, key):
    assert [*faults(line_from_event(replace(CAN, kind=kind, facts=facts)))] == [key]


@pytest.mark.parametrize(
    ("changed", "key"),
    [
        ({"id": ""}, "id"),
        ({"subject": " fig-7"}, "subject"),
        ({"subject": "fig\n7"}, "subject"),
        ({"by": "\ud800"}, "by"),
        ({"id": "x" * 201}, "id"),
        (
            {"happened": datetime(1, 1, 1, tzinfo=timezone(timedelta(hours=14)))},
            "happened",
        ),
        ({"written": datetime(9999, 12, 31, 23, tzinfo=UTC)}, "written"),
    ],
)
def test_a_name_is_a_name_and_a_year_is_a_year(changed, key):
    assert [*faults(line_from_event(replace(CAN, **changed)))] == [key]


def test_a_noun_is_set_for_its_own_sort_only():
    yard = {"name": "Stone Stair", "latitude_deg": 45.7, "longitude_deg": 13.8}
    line = line_with(kind="yard set", facts=yard | {"timezone": "Europe/Rome"})
    assert faults(line) == {"sort": "tree"}


def test_a_kind_has_its_facts_and_facts_their_kind():
    assert {KINDS[kind]: kind for kind in KINDS} == KIND_OF
    assert len(KIND_OF) == len(KINDS)
    assert {*How} == {*FINDINGS}
    assert {found for some in FINDINGS.values() for found in some} == {*Found}


def nouns_in(kind):
    """Return a kind and all that its fields hold."""
    inner = [
        t for hint in get_type_hints(kind).values() for t in (hint, *get_args(hint))
    ]
    return {kind}.union(*[nouns_in(t) for t in inner if is_dataclass(t)])


@pytest.mark.parametrize("kind", sorted({*KINDS.values()}, key=str))
def test_what_may_be_unsaid_is_unsaid_unless_told(kind):
    """The text form leaves None out, so that None has to be what comes back."""
    for noun in nouns_in(kind):
        hints = get_type_hints(noun)
        for field in fields(noun):
            if NoneType in get_args(hints[field.name]):
                assert field.default is None, (noun, field.name)
            assert field.default_factory is MISSING
