"""Aftercare: dated from the job, until it is over. Practice, no source."""

from datetime import UTC, date, datetime, time

import pytest

from arbuscula.kinds.events import (
    KIND_OF,
    BudsSwelling,
    Event,
    Pruned,
    Repotted,
    Sort,
    Unwired,
    WireChecked,
    Wired,
)
from arbuscula.kinds.technique import Phase
from arbuscula.plan.aftercare import after_job, followups_on
from arbuscula.state.condition import technique_of, wired_since
from tests.jobs import LIBRARY

DONE = date(2026, 6, 1)


def told(facts, on=DONE):
    at = datetime.combine(on, time(9), tzinfo=UTC)
    kind = KIND_OF[type(facts)]
    return Event(
        id=f"{kind}-{on}",
        sort=Sort.TREE,
        subject="fig-1",
        kind=kind,
        happened=at,
        written=at,
        facts=facts,
    )


def asked(life, on, group="tropical fig"):
    follows = followups_on(
        life,
        LIBRARY.techniques,
        group,
        on,
        technique_of=lambda event: technique_of(event, LIBRARY.techniques),
        wired=wired_since(life),
    )
    return {f.job.message_id.removeprefix("aftercare."): f for f in follows}


def test_after_a_repot_it_stands_in_shade_unfed_and_still():
    life = [told(Repotted(removed_frac=0.25))]
    soon = asked(life, date(2026, 6, 10))
    assert {"shade", "no_feed", "keep_still", "no_wire", "no_other_job"} <= soon.keys()
    assert soon["no_feed"].to == date(2026, 6, 29)  # four weeks
    assert asked(life, date(2026, 6, 25)).keys() & {"shade", "no_feed"} == {"no_feed"}
    assert asked(life, date(2027, 6, 1)) == {}


def test_hardy_trees_are_kept_from_frost_and_figs_need_not_be_told():
    life = [told(Repotted())]
    assert "keep_from_frost" in asked(life, date(2026, 6, 10), group="maple")
    assert "keep_from_frost" not in asked(life, date(2026, 6, 10))


def test_buds_that_were_seen_are_looked_for_no_more():
    cut = told(Pruned(technique="structural-cut"))
    assert "look_for_buds" in asked([cut], date(2026, 6, 20))
    seen = told(BudsSwelling(), date(2026, 6, 18))
    assert "look_for_buds" not in asked([cut, seen], date(2026, 6, 20))


def test_of_two_jobs_that_ask_for_the_same_the_longer_holds():
    life = [
        told(Pruned(technique="bare-wood-cut")),
        told(Pruned(technique="trim"), date(2026, 6, 15)),
    ]
    (look,) = [
        f for job, f in asked(life, date(2026, 7, 20)).items() if job == "look_for_buds"
    ]
    assert look.after == "bare-wood-cut"


def test_a_check_of_wire_is_due_in_a_week_and_stays_until_somebody_looked():
    life = [told(Wired())]
    assert "check_wire" not in asked(life, date(2026, 6, 7))
    for day in (date(2026, 6, 8), date(2026, 9, 1)):
        assert "check_wire" in asked(life, day)
    life.append(told(WireChecked(), date(2026, 6, 9)))
    assert "check_wire" not in asked(life, date(2026, 6, 15))
    assert "check_wire" in asked(life, date(2026, 6, 16))
    life.append(told(Unwired(), date(2026, 6, 17)))
    assert "check_wire" not in asked(life, date(2026, 6, 30))


def test_the_growers_own_day_for_the_wire_holds():
    life = [told(Wired(check_by=date(2026, 6, 4)))]
    assert asked(life, date(2026, 6, 4))["check_wire"].to == date(2026, 6, 4)


@pytest.mark.parametrize(
    ("group", "phase", "days"),
    [
        ("tropical fig", Phase.FLUSH, 7),
        ("tropical fig", Phase.SLOWING, 14),
        ("maple", Phase.REST, 14),
        ("juniper", Phase.REST, 28),
        ("tropical fig", None, 7),  # nobody told the phase: the strictest
    ],
)
def test_wire_on_figs_in_growth_is_checked_weekly_on_others_later(group, phase, days):
    follows = after_job("wire", LIBRARY.techniques["wire"], group, phase, DONE)
    (check,) = (f for f in follows if f.job.message_id == "aftercare.check_wire")
    assert (check.from_ - DONE).days == days
