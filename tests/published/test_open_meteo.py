"""Open-Meteo's documentation: parameter tables, ensembles, error object."""

import json
from urllib.parse import parse_qs, urlsplit

import numpy as np
import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.weather.foreign import in_our_unit
from arbuscula.weather.open_meteo import (
    OpenMeteo,
    Service,
    address_of,
    replies_of,
    rows_of_reply,
)
from tests.services import ASK, HOUR_S, host, members_reply, open_meteo_reply

pytestmark = pytest.mark.published


@pytest.fixture
def served():
    with host() as there:
        yield there


def test_wind_is_in_kilometres_an_hour_unless_asked_otherwise(served):
    """Its table of units: 36 km/h is 10 m/s by definition; float width."""
    told = in_our_unit(36.0, name="wind_speed_2m_m_s", unit="km/h", where="")
    assert told == pytest.approx(10, abs=1e-9)
    reply = open_meteo_reply()
    as_told = rows_of_reply(reply, source="")[0].wind_speed_2m_m_s
    reply["hourly_units"]["wind_speed_10m"] = "km/h"
    reply["hourly"]["wind_speed_10m"] = [10.8] * len(reply["hourly"]["time"])
    converted = rows_of_reply(reply, source="")[0].wind_speed_2m_m_s
    assert converted == pytest.approx(as_told)
    served.says(open_meteo_reply())
    OpenMeteo(host=served.url).hear(ASK)
    query = parse_qs(urlsplit(served.asked[0][0]).query)
    assert query["wind_speed_unit"] == ["ms"]


def test_radiation_is_the_mean_of_the_hour_before():
    """Its table of semantics: 500 W/m² told at an hour are 1.8 MJ/m² before it."""
    reply = open_meteo_reply()
    noon = reply["hourly"]["time"].index("2026-07-09T12:00")
    reply["hourly"]["shortwave_radiation"][noon] = 500
    rows, _ = rows_of_reply(reply, source="")
    ends_at_noon = int(np.flatnonzero(rows.until_s % (24 * HOUR_S) == 12 * HOUR_S)[2])
    energy_mj_m2 = rows.shortwave_w_m2[ends_at_noon] * HOUR_S / 1e6
    assert energy_mj_m2 == pytest.approx(1.8, abs=1e-9)  # float width


def test_rain_is_the_sum_of_the_hour_before_and_warmth_is_at_the_moment():
    reply = open_meteo_reply()
    n = len(reply["hourly"]["time"])
    reply["hourly"]["precipitation"] = [0.0, 3.0] + [0.0] * (n - 2)
    reply["hourly"]["temperature_2m"] = [10.0, 14.0] + [14.0] * (n - 2)
    rows, _ = rows_of_reply(reply, source="")
    assert rows.rain_mm[:2].tolist() == [3.0, 0.0]
    assert rows.air_temperature_c[:2].tolist() == [12.0, 14.0]


def test_an_error_object_is_raised_with_its_reason(served):
    served.says('{"error":true,"reason":"x"}', 400)
    with pytest.raises(ArbusculaError) as refused:
        OpenMeteo(host=served.url).hear(ASK)
    (fault,) = refused.value.faults
    assert (fault.message_id, fault.figures["found"]) == ("weather.rejected", "x")
    with pytest.raises(ArbusculaError):
        replies_of(b'{"error":true,"reason":"x"}', source="")


def test_a_bare_nan_with_status_200_is_a_gap():
    """A third party's note; JSON has no such word."""
    (reply,) = replies_of(b'{"hourly":{"temperature_2m":[nan]}}', source="")
    assert reply["hourly"]["temperature_2m"] == [None]
    (reply,) = replies_of(b'{"a nan":["nan", NaN, -inf, "\\"nan"]}', source="")
    assert reply == {"a nan": ["nan", None, None, '"nan']}


def test_members_are_counted_by_their_keys():
    """Control plus members: three keys, three members."""
    rows, _ = rows_of_reply(members_reply(members_n=3), source="")
    assert rows.air_temperature_c.shape[0] == 3
    assert np.diff(rows.air_temperature_c, axis=0) == pytest.approx(0.1)


def test_members_may_bear_the_name_of_their_model():
    """Several models add it to the key."""
    reply = members_reply(members_n=3)
    told = json.dumps(reply).replace("member02", "member02_ncep_gefs_seamless")
    rows, _ = rows_of_reply(json.loads(told), source="")
    assert rows.air_temperature_c.shape[0] == 3


def test_several_places_give_a_list():
    text = json.dumps([open_meteo_reply(), open_meteo_reply()])
    replies = replies_of(text.encode(), source="")
    assert len(replies) == 2


@pytest.mark.parametrize(
    ("service", "host_name"),
    [
        (Service.FORECAST, "customer-api"),
        (Service.MEMBERS, "customer-ensemble-api"),
        (Service.ARCHIVE, "customer-archive-api"),
    ],
)
def test_who_pays_has_a_key_and_hosts_of_his_own(service, host_name, served):
    """Its terms: the host begins with customer-, the key goes with the query."""
    paying = OpenMeteo(service=service, api_key="secret")
    assert address_of(paying, ASK).startswith(f"https://{host_name}.open-meteo.com/v1/")
    served.says(
        open_meteo_reply() if service is not Service.MEMBERS else members_reply()
    )
    heard = OpenMeteo(service=service, api_key="secret", host=served.url).hear(ASK)
    assert served.asked[0][0].endswith("&apikey=secret")
    assert "secret" not in heard.validity.address
