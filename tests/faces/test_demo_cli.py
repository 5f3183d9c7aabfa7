"""The demo as a new user meets it."""

import json

import pytest

from tests.faces.ask import ask, ask_outside


def test_a_day_that_is_none_is_explained(tmp_path):
    done = ask(tmp_path, "demo", "--date", "24 October")
    assert done.exit_code == 2
    assert "2026-10-07 would do" in done.stderr


@pytest.mark.slow
def test_twice_the_same_and_nobody_s_own_book_is_touched(tmp_path):
    home = tmp_path / "home"
    first, again = (ask_outside(home, "demo", "--date", "2026-04-14") for _ in "ab")
    assert (first.returncode, again.stdout) == (0, first.stdout)
    assert not home.exists()
    made = tmp_path / "home-demo/stone-stair-2026-04-14"
    assert str(made) in first.stdout.splitlines()[-1]
    told = ask_outside(made, "today", "--at", "2026-04-14T07:30+0200", "--json")
    assert json.loads(told.stdout)["yard"] == "Stone Stair"


@pytest.mark.slow
def test_its_last_line_leads_to_the_demo_where_another_book_is_set(
    tmp_path, monkeypatch
):
    monkeypatch.setenv("ARBUSCULA_BOOK", f"sqlite:///{tmp_path}/my.sqlite")
    told = ask_outside(tmp_path / "home", "demo", "--date", "2026-04-14").stdout
    assert told.splitlines()[-1].startswith("Go on: ARBUSCULA_BOOK= ARBUSCULA_HOME=")
