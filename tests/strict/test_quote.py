from datetime import UTC, date, datetime, time

import pytest

from arbuscula.strict.quote import LONGEST_N, plain, plain_number, quoted


def test_a_value_is_told_as_a_file_would_write_it():
    assert quoted("oval") == "'oval'"
    assert quoted(-12.5) == "-12.5"
    assert quoted([1, 2]) == "[1, 2]"
    assert quoted(date(2026, 6, 5)) == "2026-06-05"
    assert quoted(time(8)) == "08:00:00"
    assert quoted(datetime(2026, 6, 5, 8, tzinfo=UTC)) == "2026-06-05T08:00:00+00:00"


@pytest.mark.parametrize(
    "found",
    ["x" * 10**6, 10**4000, int("f" * 5000, 16), [[["deep"] * 9] * 9] * 9],
    ids=["a long text", "a long number", "a longer number", "a list of lists"],
)
def test_no_value_takes_more_than_a_line_or_two(found):
    assert len(quoted(found)) <= 2 * LONGEST_N


def test_a_name_stands_as_it_is_unless_it_cannot_be_seen():
    assert plain("mass_g") == "mass_g"
    assert plain("two\nlines") == r"'two\nlines'"
    assert len(plain("x" * 1000)) <= LONGEST_N


def test_a_limit_is_written_as_a_grower_types_it():
    assert plain_number(2_000_000) == "2000000"
    assert plain_number(1e6) == "1000000"
    assert plain_number(0.001) == "0.001"
