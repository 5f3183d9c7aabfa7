"""NASA POWER against pvlib, which reads the same reply in its own way."""

import warnings
from urllib.parse import parse_qs, urlsplit

import numpy as np
import pytest

from arbuscula.weather.nasa_power import NAMES, NasaPower, rows_of_reply
from tests.services import ASK, SPOT, host, nasa_power_reply

pytestmark = pytest.mark.published


@pytest.fixture
def served():
    with host() as there:
        yield there


def test_the_fill_value_is_a_gap():
    """pvlib and pcse: -999.0 stands for missing."""
    reply = nasa_power_reply()
    warmth = reply["properties"]["parameter"]["T2M"]
    warmth[next(iter(warmth))] = -999.0
    rows = rows_of_reply(reply)
    assert np.isnan(rows.air_temperature_c).sum() == 1
    assert np.isnan(rows.shortwave_w_m2).sum() == 48


def test_pvlib_reads_the_same(served):
    iotools = pytest.importorskip("pvlib.iotools")
    served.says(nasa_power_reply())
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of its own dependencies
        told, _ = iotools.get_nasa_power(
            SPOT.latitude_deg,
            SPOT.longitude_deg,
            "2026-07-05",
            "2026-07-08",
            parameters=[*NAMES],
            map_variables=False,
            url=f"{served.url}/api/temporal/hourly/point",
        )
    (batch,) = NasaPower(host=served.url).hear(ASK).batches
    theirs_s = [at.timestamp() for at in told.index]
    assert batch.rows.from_s.tolist() == theirs_s
    for theirs, ours in NAMES.items():
        share = 0.01 if ours == "relative_humidity_frac" else 1.0
        expected = told[theirs].to_numpy(dtype=float) * share
        assert getattr(batch.rows, ours) == pytest.approx(expected, nan_ok=True)


def test_it_is_asked_as_pvlib_asks_it(served):
    served.says(nasa_power_reply())
    NasaPower(host=served.url).hear(ASK)
    url = urlsplit(served.asked[0][0])
    query = parse_qs(url.query)
    assert url.path == "/api/temporal/hourly/point"
    assert (query["start"], query["end"]) == (["20260706"], ["20260709"])
    assert (query["community"], query["time-standard"]) == (["re"], ["utc"])
    assert query["parameters"] == ["T2M,RH2M,WS2M,PRECTOTCORR,ALLSKY_SFC_SW_DWN"]
