from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from enum import StrEnum
from typing import Annotated, Generic, Literal, TypeVar

import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.kinds.values import Grade, Value, Within
from arbuscula.strict.kinds import kind_from_table, kind_from_toml

T = TypeVar("T")
SOURCES = ["growers", "fao56"]
VALUE = {"value": 5, "low": 1, "high": 9, "source": "growers", "grade": "practice"}


class Sort(StrEnum):
    TREE = "tree"
    BENCH = "bench"


@dataclass(frozen=True, kw_only=True)
class Leaf:
    area_m2: Annotated[float, Within(0.001, 100)]


@dataclass(frozen=True, kw_only=True)
class Pair(Generic[T]):
    one: T
    two: T


@dataclass(frozen=True, kw_only=True)
class Thing:
    name: str
    sort: Sort = Sort.TREE
    shape: Literal["box", "oval"] = "box"
    size_mm: Annotated[float, Within(10, 5000)] | None = None
    leaves_n: Annotated[int, Within(0, 1e6)] = 0
    alive: bool = True
    seen: date | None = None
    at: datetime | None = None
    round: time | None = None
    leaf: Leaf | None = None
    mix: Mapping[str, float | Leaf] | None = None
    names: tuple[str, ...] = ()
    between_mm: tuple[tuple[float, float], ...] = ()
    warmth_c: Value | None = None
    pair: Pair[Value] | None = None


def thing(text):
    return kind_from_toml(
        f'name = "fig"\n{text}', Thing, name="t.toml", sources=SOURCES
    )


def faults(text):
    with pytest.raises(ArbusculaError) as caught:
        thing(text)
    assert {fault.figures["file"] for fault in caught.value.faults} == {"t.toml"}
    return caught.value.faults


def fault(text):
    (only,) = faults(text)
    return only


@pytest.mark.parametrize(
    ("text", "key", "made"),
    [
        ("size_mm = 235", "size_mm", 235.0),
        ("size_mm = 10", "size_mm", 10.0),
        ("leaves_n = 40", "leaves_n", 40),
        ("alive = false", "alive", False),
        ('sort = "bench"', "sort", Sort.BENCH),
        ('shape = "oval"', "shape", "oval"),
        ("seen = 2026-06-05", "seen", date(2026, 6, 5)),
        ('seen = "2026-06-05"', "seen", date(2026, 6, 5)),
        ("at = 2026-06-05T08:00:00Z", "at", datetime(2026, 6, 5, 8, tzinfo=UTC)),
        ("round = 08:00:00", "round", time(8)),
        ("leaf.area_m2 = 0.25", "leaf", Leaf(area_m2=0.25)),
        ("mix.pumice = 3", "mix", {"pumice": 3.0}),
        ("mix.pumice = {area_m2 = 1}", "mix", {"pumice": Leaf(area_m2=1.0)}),
        ('names = ["a", "b"]', "names", ("a", "b")),
        ("between_mm = [[1, 2], [3, 6]]", "between_mm", ((1.0, 2.0), (3.0, 6.0))),
    ],
)
def test_what_a_file_may_say(text, key, made):
    assert getattr(thing(text), key) == made


def test_what_is_left_out_is_as_the_kind_has_it():
    assert thing("") == Thing(name="fig")


@pytest.mark.parametrize(
    ("text", "key", "found", "allowed"),
    [
        ('size_mm = "235"', "size_mm", "'235'", "a number"),
        ("size_mm = true", "size_mm", "True", "a number"),
        ("size_mm = 0", "size_mm", "0", "10 to 5000"),
        ("size_mm = -3.5", "size_mm", "-3.5", "10 to 5000"),
        ("size_mm = nan", "size_mm", "nan", "a number"),
        ("size_mm = inf", "size_mm", "inf", "a number"),
        ("leaves_n = 4.0", "leaves_n", "4.0", "a whole number"),
        ("leaves_n = -1", "leaves_n", "-1", "0 to 1000000"),
        ("alive = 1", "alive", "1", "true or false"),
        ('sort = "yard"', "sort", "'yard'", "tree, bench"),
        ("sort = 3", "sort", "3", "tree, bench"),
        ('shape = "rund"', "shape", "'rund'", "box, oval"),
        ("shape = [1]", "shape", "[1]", "box, oval"),
        ("seen = 2026-06-05T08:00:00Z", "seen", "2026-06-05T08:00:00+00:00", "a date"),
        ('seen = "soon"', "seen", "'soon'", "a date"),
        ("at = 2026-06-05T08:00:00", "at", "2026-06-05T08:00:00", "its offset"),
        ("at = 2026-06-05", "at", "2026-06-05", "its offset"),
        ("round = 8", "round", "8", "a time of day"),
        ("leaf = 3", "leaf", "3", "a table"),
        ("leaf.area_m2 = 0", "leaf.area_m2", "0", "0.001 to 100"),
        ("mix = [1]", "mix", "[1]", "a table"),
        ('mix.pumice = "3"', "mix.pumice", "'3'", "a number"),
        ("mix.pumice.area_m2 = 0", "mix.pumice.area_m2", "0", "0.001 to 100"),
        ('names = "a"', "names", "'a'", "a list in square brackets"),
        ('names = ["a", 3]', "names.2", "3", "words in quotes"),
        ("between_mm = [[1, 2], [3]]", "between_mm.2", "[3]", "2 of them"),
        ("between_mm = [[1, 2], [3, 4, 5]]", "between_mm.2", "[3, 4, 5]", "2 of them"),
    ],
)
def test_what_a_file_may_not_say(text, key, found, allowed):
    odd = fault(text)
    assert odd.message_id == "file.fault"
    assert odd.figures["key"] == key
    assert odd.figures["found"] == found
    assert allowed in odd.figures["allowed"]


def test_a_key_that_nobody_reads_is_told_with_those_that_are():
    odd = fault("size_cm = 23")
    assert (odd.message_id, odd.figures["key"]) == ("file.unknown_key", "size_cm")
    assert odd.figures["near"].startswith("size_mm")


def test_a_key_that_must_not_be_missing():
    odd = fault("[leaf]")
    assert (odd.message_id, odd.figures["key"]) == ("file.missing_key", "leaf.area_m2")
    assert odd.figures["allowed"] == "a number"


def test_all_faults_of_a_file_are_told_in_its_kinds_order():
    odd = faults("size_cm = 1\nsize_mm = 0\nalive = 1\nleaf.area_m2 = 'much'")
    keys = [f.figures["key"] for f in odd]
    assert keys == ["size_cm", "size_mm", "alive", "leaf.area_m2"]


@pytest.mark.parametrize(
    "text",
    [
        "size_mm = ",
        "size_mm = 1\nsize_mm = 2",
        "size_mm = 1" + "0" * 5000,
        "names = " + "[" * 5000 + "]" * 5000,
        "alive = maybe",
        'names = ["\\ud800"]',
        "\0",
    ],
    ids=["half", "twice", "endless number", "too deep", "word", "half a sign", "nil"],
)
def test_a_text_that_is_no_toml(text):
    odd = fault(text)
    assert odd.message_id == "file.not_toml"
    assert len(odd.figures["found"]) < 120


def test_the_place_of_the_error_is_told():
    assert "line 3" in fault("alive = true\nsize_mm = =").figures["found"]


@pytest.mark.parametrize(
    "number", ["0x1" + "0" * 300, "0x1" + "0" * 5000], ids=["above a float", "endless"]
)
@pytest.mark.parametrize("key", ["size_mm", "leaves_n"])
def test_a_whole_number_beyond_all_measure(key, number):
    odd = fault(f"{key} = {number}")
    assert odd.figures["key"] == key
    assert len(odd.figures["found"]) <= 60


def test_a_key_without_end_or_with_signs_nobody_sees():
    long, unseen = faults(f'"{"x" * 10**6}" = 1\n"a\\nb" = 2')[::-1]
    assert len(long.figures["key"]) <= 60
    assert unseen.figures["key"] == r"'a\nb'"


def test_a_value_comes_with_source_and_grade():
    found = kind_from_table(
        {"name": "x", "warmth_c": VALUE}, Thing, name="t", sources=SOURCES
    )
    assert found.warmth_c == Value(
        value=5.0, low=1.0, high=9.0, source="growers", grade=Grade.PRACTICE
    )


@pytest.mark.parametrize(
    ("wrong", "key"),
    [
        ({"source": "hearsay"}, "warmth_c"),
        ({"grade": "sure"}, "warmth_c.grade"),
        ({"value": 10}, "warmth_c"),
        ({"low": 6}, "warmth_c"),
    ],
)
def test_a_value_outside_its_spread_or_of_nobody(wrong, key):
    table = {"name": "x", "warmth_c": VALUE | wrong}
    with pytest.raises(ArbusculaError) as caught:
        kind_from_table(table, Thing, name="t", sources=SOURCES)
    (odd,) = caught.value.faults
    assert odd.figures["key"] == key


def test_a_generic_kind_is_read_with_its_letter_filled_in():
    table = {"name": "x", "pair": {"one": VALUE, "two": VALUE | {"source": "fao56"}}}
    found = kind_from_table(table, Thing, name="t", sources=SOURCES)
    assert found.pair.two.source == "fao56"


def test_a_mapping_of_kinds_may_be_the_whole_file():
    text = "a.area_m2 = 1\nb.area_m2 = 2"
    found = kind_from_toml(text, dict[str, Leaf], name="t.toml")
    assert found["b"] == Leaf(area_m2=2.0)
    with pytest.raises(ArbusculaError) as caught:
        kind_from_toml("a = 3", dict[str, Leaf], name="t.toml")
    assert caught.value.faults[0].figures["key"] == "a"
