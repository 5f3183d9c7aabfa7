"""Poole, Conover, RH-93-6 (poole93): three nights at 5 degC and two weeks after.

F. benjamina kept its quality after 2.2 to 7.8 degC for one to four days; some
species showed harm only two weeks later. Read as an abstract.
"""

from datetime import timedelta

import pytest

from arbuscula.desk.today import today
from tests.desk.made_yard import NOW, desk_with, observe
from tests.jobs import CARE

pytestmark = pytest.mark.published


def test_a_second_look_is_asked_for_after_fourteen_days():
    assert (CARE.second_look_d.value, CARE.second_look_d.source) == (14, "poole93")


def test_three_nights_at_5_degrees_ask_for_a_look_and_call_nothing_dead(tmp_path):
    desk = desk_with(tmp_path, trees_n=1)
    cold = NOW - timedelta(days=17)
    observe(desk, until_at=cold, night_c=15.0)
    observe(desk, from_at=cold, until_at=cold + timedelta(days=3), night_c=5.0)
    observe(desk, from_at=cold + timedelta(days=3), until_at=NOW, night_c=15.0)
    (job,) = today(desk).jobs
    assert job.job.message_id == "aftercare.second_look"
    assert job.from_ <= NOW.date() <= job.to
