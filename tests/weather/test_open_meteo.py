import numpy as np
import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.weather.open_meteo import OpenMeteo, Service, rows_of_reply
from tests.services import ASK, archive_reply, host, members_reply, open_meteo_reply


@pytest.fixture
def served():
    with host() as there:
        yield there


def notes_of(served, reply, **chosen):
    served.says(reply)
    chosen = {"service": Service.MEMBERS, "host": served.url} | chosen
    heard = OpenMeteo(**chosen).hear(ASK)
    count = heard.batches[0].rows.air_temperature_c.shape[0]
    return count, [(n.message_id, n.figures.get("found")) for n in heard.notes]


def test_fewer_members_than_the_model_has_are_told(served):
    assert notes_of(served, members_reply(51)) == (51, [])
    told = (40, [("weather.members_missing", "40")])
    assert notes_of(served, members_reply(40)) == told
    assert notes_of(served, members_reply(40), model="dwd_icon_seamless_eps") == (
        40,
        [],
    )


@pytest.mark.parametrize("silent_from", [0, 40])
def test_a_member_that_is_silent_or_falls_silent_is_left_out(served, silent_from):
    reply = members_reply(51)
    name = "temperature_2m_member13"
    hourly = reply["hourly"]
    rest = len(hourly["time"]) - silent_from
    hourly[name] = hourly[name][:silent_from] + [None] * rest
    count, notes = notes_of(served, reply)
    assert count == 50
    assert ("weather.members_missing", "50") in notes


def test_a_member_without_one_quantity_leaves_a_gap_there():
    reply = members_reply(3)
    del reply["hourly"]["precipitation_member02"]
    rows, _ = rows_of_reply(reply, source="")
    assert np.isnan(rows.rain_mm[2]).all()
    assert np.isfinite(rows.rain_mm[:2]).all()


def test_a_whole_quantity_untold_is_told():
    reply = open_meteo_reply()
    hours_n = len(reply["hourly"]["time"])
    reply["hourly"]["shortwave_radiation"] = [None] * hours_n
    _, notes = rows_of_reply(reply, source="open-meteo")
    assert [n.figures["quantity"] for n in notes] == ["shortwave_w_m2"]


def test_times_with_an_offset_are_brought_to_utc():
    plain, shifted = open_meteo_reply(), open_meteo_reply()
    shifted["utc_offset_seconds"] = 7200
    first_s = [
        rows_of_reply(reply, source="")[0].from_s[0] for reply in (plain, shifted)
    ]
    assert first_s[0] - first_s[1] == 7200


def test_the_past_ends_where_it_is_not_known_yet(served):
    reply = archive_reply()
    hourly = reply["hourly"]
    for name in [name for name in hourly if name != "time"]:
        hourly[name][50:] = [None] * (96 - 50)
    served.says(reply)
    chosen = OpenMeteo(service=Service.ARCHIVE, host=served.url)
    (batch,) = chosen.hear(ASK).batches
    assert batch.rows.from_s.size == 49


def test_two_places_where_one_was_asked_are_refused(served):
    served.says([open_meteo_reply(), open_meteo_reply()])
    with pytest.raises(ArbusculaError) as refused:
        OpenMeteo(host=served.url).hear(ASK)
    assert refused.value.faults[0].figures["key"] == "places"
