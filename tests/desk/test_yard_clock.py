"""Whatever tells a moment tells it by the clock of the yard."""

from dataclasses import fields, is_dataclass
from datetime import datetime, timedelta

import pytest

from arbuscula.desk.may import may
from arbuscula.desk.round import walk_round
from arbuscula.desk.tree_page import tree_page
from arbuscula.desk.watch import look
from arbuscula.desk.why import why
from arbuscula.kinds.events import (
    Defoliated,
    IntoHospital,
    Repotted,
    Sort,
)
from arbuscula.kinds.said import Said
from arbuscula.ledger.book import append
from arbuscula.reports.words import Voice, sentence
from tests.desk.made_yard import NOW, POT, desk_with, event, forecast, observe

EVENING = NOW - timedelta(days=2, hours=7, minutes=30)  # 22:40 in UTC, 00:40 there


def told(answer):
    """Yield all that an answer says, wherever it stands."""
    if isinstance(answer, Said):
        yield answer
    elif is_dataclass(answer):
        for field in fields(answer):
            yield from told(getattr(answer, field.name))
    elif isinstance(answer, tuple | list):
        for part in answer:
            yield from told(part)


@pytest.fixture
def desk(tmp_path):
    """A yard two hours east of UTC: one in hospital, one bare, one root-cut."""
    desk = desk_with(tmp_path)
    observe(desk)
    forecast(desk, members_n=5)
    works = (IntoHospital(), Defoliated(), Repotted(pot=POT, removed_frac=0.2))
    append(
        desk.ledger(),
        *(
            event(f"w{n}", Sort.TREE, f"terrace-{n}", facts, EVENING)
            for n, facts in enumerate(works, 1)
        ),
    )
    return desk


def test_no_sentence_tells_the_time_of_another_place(desk):
    walk = walk_round(desk)
    names = ("T1", "T2", "T3", "T4")
    pages = [tree_page(desk, name, walk, at=walk.today.at) for name in names]
    answers = (walk, *pages, why(desk, "T4"), may(desk, "T4", ["trim"]), look(desk))
    moments = {
        (said.message_id, at.utcoffset())
        for answer in answers
        for said in told(answer)
        for at in said.figures.values()
        if isinstance(at, datetime)
    }
    assert {message for message, _ in moments} >= {
        "care.hospital",
        "care.defoliated",
        "care.roots_cut",
    }
    assert {offset for _, offset in moments} == {timedelta(hours=2)}


def test_a_job_of_late_evening_is_of_the_yards_next_day(desk):
    (said,) = [
        s for s in told(why(desk, "T1").because) if s.message_id == "care.hospital"
    ]
    assert "Mon 6 Jul, 00:40" in sentence(said, Voice())


def test_a_job_is_of_the_day_that_the_yard_had(desk):
    """Repotted at 22:40 in UTC on the 5th: there it was the 6th already."""
    days = {
        said.figures["since"]
        for said in told(may(desk, "T3", ["repot", "defoliate"]))
        if said.message_id in ("may.rests", "may.one_big")
    }
    assert days == {"2026-07-06"}
    since = {
        said.figures["since"]
        for said in told(walk_round(desk))
        if said.message_id == "job.after"
    }
    assert since == {"2026-07-06"}
