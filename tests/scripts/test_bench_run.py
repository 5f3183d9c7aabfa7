"""The page of times is made of ratios and exponents, not of hopes."""

import re

import pytest

from bench import run


def test_a_cost_in_proportion_has_the_exponent_one():
    assert run.exponent([10, 100, 1000], [0.2, 2.0, 20.0]) == pytest.approx(1.0)
    assert run.exponent([10, 100], [1.0, 100.0]) == pytest.approx(2.0)


def test_the_kept_page_says_on_which_machine_and_under_which_load():
    text = run.PAGE.read_text()
    assert "Load of the machine when it began" in text
    assert len(re.findall(r"(?m)^\| `(today|record|demo|season)`", text)) >= 8
    assert "What is not held, and what is not measured" in text


@pytest.mark.slow
def test_each_row_has_a_time_and_something_beside_it():
    pot, bare_s = run.pots()
    rows = [pot, *run.trees([3, 6], bare_s)]
    assert bare_s > 0
    assert len(rows) == 5
    assert all(re.search(r"[0-9]", row.took) and row.beside for row in rows)
