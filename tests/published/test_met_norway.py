"""MET Norway's terms of service and the format of Locationforecast 2.0."""

import re
from dataclasses import replace
from urllib.parse import parse_qs, urlsplit

import numpy as np
import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.science.sun import extraterrestrial_mj_m2_h
from arbuscula.weather.archive import archive_at, last_asked
from arbuscula.weather.listen import listen
from arbuscula.weather.met_norway import MetNorway, rows_of_reply
from tests.services import (
    ASK,
    HOUR_S,
    NOW_S,
    SPOT,
    host,
    hours_s,
    http_date,
    met_norway_reply,
)

pytestmark = pytest.mark.published
CONTACT = "trees@stone-stair.example"


@pytest.fixture
def served():
    with host() as there:
        yield there


@pytest.fixture
def archive(tmp_path):
    return archive_at(tmp_path / "weather.db")


def test_the_agent_names_itself_and_four_decimals_are_sent(served):
    """Its terms want both; the four decimals are from a client's documentation."""
    served.says(met_norway_reply())
    spot = replace(SPOT, latitude_deg=45.712345, longitude_deg=13.798765)
    MetNorway(host=served.url, contact=CONTACT).hear(replace(ASK, spot=spot))
    ((path, headers),) = served.asked
    query = parse_qs(urlsplit(path).query)
    assert query == {"lat": ["45.7123"], "lon": ["13.7988"], "altitude": ["120"]}
    assert re.fullmatch(r"arbuscula/[\w.]+ " + CONTACT, headers["User-Agent"])


def test_60_123456_is_sent_as_60_1235(served):
    served.says(met_norway_reply())
    spot = replace(SPOT, latitude_deg=60.123456)
    with pytest.raises(ArbusculaError):  # the reply is of another place
        MetNorway(host=served.url, contact=CONTACT).hear(replace(ASK, spot=spot))
    ((path, headers),) = served.asked
    assert parse_qs(urlsplit(path).query)["lat"] == ["60.1235"]
    assert headers["User-Agent"]


def test_without_a_contact_nobody_is_asked(served):
    with pytest.raises(ArbusculaError) as refused:
        MetNorway(host=served.url, contact=" ").hear(ASK)
    assert [f.message_id for f in refused.value.faults] == ["weather.no_contact"]
    assert served.asked == []


def test_an_expired_reply_is_asked_for_with_its_own_date(served, archive):
    """Expires and If-Modified-Since are to be honoured; 304 means no news."""
    source = MetNorway(host=served.url, contact=CONTACT)
    made = http_date(NOW_S - 900)
    served.says(
        met_norway_reply(),
        Date=http_date(NOW_S + 7200),  # its clock is two hours ahead of ours
        Expires=http_date(NOW_S + 7200 + 1800),
        Last_Modified=made,
    )
    assert listen(archive, source, ASK).batches
    served.says("", 304, Expires=http_date(NOW_S + 5400), Date=http_date(NOW_S + 3600))
    for later_s in (60, 1790):
        assert not listen(archive, source, replace(ASK, now_s=NOW_S + later_s)).batches
    assert len(served.asked) == 1
    later = replace(ASK, now_s=NOW_S + 1801)
    assert not listen(archive, source, later).batches
    assert served.asked[1][1]["If-Modified-Since"] == made
    asked = last_asked(archive, ASK.yard, source.key)
    assert (asked.outcome, asked.validity.last_modified) == ("unchanged", made)
    assert asked.validity.expires_s == NOW_S + 1801 + 1800


def test_another_place_is_asked_for_afresh(served, archive):
    source = MetNorway(host=served.url, contact=CONTACT)
    served.says(met_norway_reply(), Last_Modified=http_date(NOW_S))
    listen(archive, source, ASK)
    moved = replace(ASK, spot=replace(SPOT, latitude_deg=45.6))
    listen(archive, source, moved)
    assert served.asked[1][1]["If-Modified-Since"] is None


def test_203_is_told_as_the_end_of_a_version(served):
    served.says(met_norway_reply(), 203)
    heard = MetNorway(host=served.url, contact=CONTACT).hear(ASK)
    assert heard.batches
    assert [note.message_id for note in heard.notes] == ["weather.deprecated"]


def test_rain_is_told_ahead_and_six_hours_of_it_fall_evenly():
    rows = rows_of_reply(met_norway_reply(), SPOT)
    assert rows.from_s[0] == hours_s(10, 1)[0]
    assert (np.diff(rows.from_s) == HOUR_S).all()
    # 0.1 mm in each of the next hours, 0.6 mm in each of the next six hours
    assert rows.rain_mm == pytest.approx(0.1)
    # 60 points by the hour lead to 60 hours; 30 points, six hours apart, to 174.
    assert rows.from_s.size == 60 + 29 * 6


def test_light_follows_from_the_cloud():
    """A quarter of the sky: 1 - 0.75 c^3.4 of a clear sky's 0.75 + 2e-5 z."""
    rows = rows_of_reply(met_norway_reply(), SPOT)
    above_mj_m2 = extraterrestrial_mj_m2_h(
        unix_s=rows.from_s,
        latitude_deg=SPOT.latitude_deg,
        longitude_deg=SPOT.longitude_deg,
    )
    share = (0.75 + 2e-5 * 120) * (1 - 0.75 * 0.25**3.4)
    assert rows.shortwave_w_m2 * 0.0036 == pytest.approx(share * above_mj_m2)
    # A clear July day of 45.7 N: FAO-56 gives 41 MJ/m² above the air.
    day_mj_m2 = (rows.shortwave_w_m2[14:38] * 0.0036).sum()
    assert day_mj_m2 == pytest.approx(share * 41, rel=0.02)  # read from a table
