"""The demo: made by the desk's own verbs, the same each time, beside nobody's book."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from arbuscula.desk.demo import demo
from arbuscula.desk.demo.years import YEARS_D
from arbuscula.desk.tree import show_tree
from arbuscula.desk.verify import verify
from arbuscula.ledger.book import all_events, head
from arbuscula.start import desk_at

ON = date(2026, 10, 24)
NOW = datetime(2026, 11, 2, 9, tzinfo=UTC)

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return demo(desk_at, tmp_path_factory.mktemp("demo"), on=ON, now=NOW)


@pytest.fixture(scope="module")
def desk(made):
    desk = desk_at(Path(made.home))
    yield desk
    desk.ledger().engine.dispose()


def test_five_benches_are_walked(made):
    names = [bench.name for bench in made.today.benches if bench.trees]
    assert names == [
        "Terrace",
        "Netting tunnel",
        "Glasshouse",
        "East window",
        "Lamp shelf",
    ]
    assert made.trees_n > 38


def test_a_cold_night_is_forecast_and_named(made):
    assert {coming.label for coming in made.today.bring_in} == {"F-5", "R-1"}


def test_the_same_day_makes_the_same_book(made, desk, tmp_path):
    again = demo(desk_at, tmp_path, on=ON, now=NOW)
    other = desk_at(tmp_path / "stone-stair-2026-10-24")
    assert head(other.ledger()) == head(desk.ledger())
    other.ledger().engine.dispose()
    calls = [t.advice for b in made.today.benches for t in b.trees]
    assert [t.advice for b in again.today.benches for t in b.trees] == calls


def test_a_book_that_is_there_is_gone_on_with(made):
    again = demo(desk_at, Path(made.home).parent, on=ON, now=NOW)
    assert (made.made, again.made) == (True, False)
    assert again.events_n == made.events_n


def test_two_years_tell_of_nearly_everything(desk):
    events = all_events(desk.ledger())
    kinds = {event.kind for event in events}
    assert {
        *("checked", "weighed", "watered", "set down", "repotted", "slip-potted"),
        *("wired", "wire checked", "unwired", "pest seen", "treated", "died"),
        *("into quarantine", "out of quarantine", "into hospital", "failed"),
        *("labels exchanged", "divided", "fed", "defoliated", "pruned", "kept"),
    } <= kinds
    first, last = min(e.happened for e in events), max(e.happened for e in events)
    assert YEARS_D - 30 < (last - first).days <= YEARS_D


def test_the_book_is_whole_and_a_life_goes_through_a_division(desk):
    assert verify(desk).faults == ()
    kinds = [event.kind for event in show_tree(desk, "F-8").life]
    assert kinds[:2] == ["group set", "received"]
    assert "divided" in kinds


@pytest.mark.parametrize("on", [date(2026, 2, 28), date(2028, 2, 29)])
def test_any_day_will_do(tmp_path, on):
    """The day before the clocks change, a leap day."""
    assert demo(desk_at, tmp_path, on=on, now=NOW).trees_n > 38


def hard(tmp_path, on, coming):
    return demo(desk_at, tmp_path, on=on, now=NOW, coming=coming).today


def test_a_made_cold_night_carries_covers_and_opens_again(tmp_path):
    """Two figs into the house; what the house does not suit is covered where it is."""
    answer = hard(tmp_path, ON, "cold")
    to = {coming.label: coming.to for coming in answer.bring_in}
    assert {"F-5", "R-1"} <= to.keys()
    assert to["F-5"] == to["R-1"] is not None
    assert None in to.values()
    assert answer.carrying.if_left
    assert len({job.do.message_id for job in answer.carrying.jobs}) == 2


def test_a_made_storm_sets_down_and_ties(tmp_path):
    answer = hard(tmp_path, date(2026, 7, 9), "storm")
    does = {one.do.message_id for one in answer.dangers}
    assert {"wind.tie", "wind.ground"} <= does
    assert "hail" in {one.sort for one in answer.dangers}
