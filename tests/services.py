"""Services: hosts on this machine that answer as the weather services do.

The replies have the documented shape; their numbers are invented, for Stone
Stair above Trieste in July 2026.
"""

import json
import threading
from contextlib import contextmanager
from datetime import UTC, datetime
from email.utils import format_datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import numpy as np

from arbuscula.kinds.forecast import Ask, StationColumn, StationMap
from arbuscula.kinds.weather import Spot
from arbuscula.weather.folder import Folder
from arbuscula.weather.met_norway import MetNorway
from arbuscula.weather.nasa_power import NasaPower
from arbuscula.weather.open_meteo import OpenMeteo, Service

HOUR_S = 3600.0
SPOT = Spot(latitude_deg=45.7, longitude_deg=13.8, elevation_m=120)
NOW = datetime(2026, 7, 9, 10, 20, tzinfo=UTC)
NOW_S = NOW.timestamp()
MIDNIGHT_S = datetime(2026, 7, 9, tzinfo=UTC).timestamp()
ASK = Ask(
    yard="stone-stair",
    spot=SPOT,
    now_s=NOW_S,
    from_s=MIDNIGHT_S - 3 * 24 * HOUR_S,
    until_s=NOW_S,
)


class Host:
    """A host on the loopback, what it answers, and what it was asked."""

    def __init__(self):
        self.status, self.body, self.headers = 200, b"", {}
        self.behaves = lambda handler: False  # True: it has answered in its own way
        self.asked = []  # (path, headers)
        self.url = ""

    def says(self, body, status=200, **headers):
        text = body if isinstance(body, bytes | str) else json.dumps(body)
        self.body = text.encode() if isinstance(text, str) else text
        self.status = status
        self.headers = {name.replace("_", "-"): text for name, text in headers.items()}


@contextmanager
def host():
    served = Host()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self):
            served.asked.append((self.path, self.headers))
            if served.behaves(self):
                return
            self.send_response_only(served.status)
            for name, text in served.headers.items():
                self.send_header(name, text)
            self.send_header("Content-Length", str(len(served.body)))
            self.end_headers()
            self.wfile.write(served.body)

        def log_message(self, *_):
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    thread = threading.Thread(target=server.serve_forever, args=(0.01,))
    thread.start()
    served.url = f"http://127.0.0.1:{server.server_port}"
    try:
        yield served
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def http_date(at_s):
    return format_datetime(datetime.fromtimestamp(at_s, tz=UTC), usegmt=True)


def hours_s(from_h, hours_n, step_h=1):
    """Return times by the hour, counted from the midnight of NOW's day."""
    return MIDNIGHT_S + HOUR_S * (from_h + step_h * np.arange(hours_n))


def iso(at_s, pattern="%Y-%m-%dT%H:%M"):
    return [datetime.fromtimestamp(s, tz=UTC).strftime(pattern) for s in at_s]


def warmth_c(at_s):
    return np.round(21 + 6 * np.sin((at_s / HOUR_S % 24 - 8) * np.pi / 12), 1)


def humidity_percent(at_s):
    return np.round(62 - 15 * np.sin((at_s / HOUR_S % 24 - 8) * np.pi / 12))


def sun_w_m2(at_s):
    """Return the mean sun of the hour that begins at these times."""
    height = np.sin((at_s / HOUR_S % 24 - 3.5) * np.pi / 15)
    lit = (at_s / HOUR_S % 24 > 3.9) & (at_s / HOUR_S % 24 < 18.1)
    return np.round(np.where(lit, 880 * np.maximum(height, 0), 0))


def open_meteo_reply(from_h=-48, hours_n=24 * 12):
    at_s = hours_s(from_h, hours_n)
    n = at_s.size
    return {
        "latitude": 45.6875,
        "longitude": 13.8125,
        "generationtime_ms": 0.2,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "timezone_abbreviation": "GMT",
        "elevation": 120.0,
        "hourly_units": {
            "time": "iso8601",
            "temperature_2m": "°C",
            "relative_humidity_2m": "%",
            "wind_speed_10m": "m/s",
            "precipitation": "mm",
            "shortwave_radiation": "W/m²",
        },
        "hourly": {
            "time": iso(at_s),
            "temperature_2m": warmth_c(at_s).tolist(),
            "relative_humidity_2m": humidity_percent(at_s).tolist(),
            "wind_speed_10m": [3.0] * n,
            "precipitation": [0.2 if k % 24 == 16 else 0.0 for k in range(n)],
            "shortwave_radiation": sun_w_m2(at_s - HOUR_S).tolist(),
        },
    }


def members_reply(members_n=51, **span):
    """Return the control and its members: member01 and so on."""
    reply = open_meteo_reply(**span)
    hourly, units = reply["hourly"], reply["hourly_units"]
    for name in [name for name in hourly if name != "time"]:
        for k in range(1, members_n):
            off = 0.1 * (k % 7) if name == "temperature_2m" else 0.0
            hourly[f"{name}_member{k:02}"] = [cell + off for cell in hourly[name]]
            units[f"{name}_member{k:02}"] = units[name]
    return reply


def archive_reply():
    return open_meteo_reply(from_h=-72, hours_n=24 * 4)


def met_norway_reply():
    """Return 60 hours by the hour, then every six hours; rain as it is told."""
    hourly, later = hours_s(10, 60), hours_s(70, 30, step_h=6)
    points = [_point(at_s, 1) for at_s in hourly] + [_point(at_s, 6) for at_s in later]
    points[-1]["data"].pop("next_6_hours")
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [13.8, 45.7, 120]},
        "properties": {
            "meta": {
                "updated_at": "2026-07-09T09:41:12Z",
                "units": {
                    "air_temperature": "celsius",
                    "relative_humidity": "%",
                    "wind_speed": "m/s",
                    "cloud_area_fraction": "%",
                    "precipitation_amount": "mm",
                },
            },
            "timeseries": points,
        },
    }


def _point(at_s, hours_n):
    details = {
        "air_temperature": float(warmth_c(np.array([at_s]))[0]),
        "relative_humidity": float(humidity_percent(np.array([at_s]))[0]),
        "wind_speed": 3.0,
        "cloud_area_fraction": 25.0,
        "wind_from_direction": 60.0,
        "air_pressure_at_sea_level": 1015.0,
    }
    (time,) = iso([at_s], "%Y-%m-%dT%H:%M:%SZ")
    rain = {"summary": {"symbol_code": "fair_day"}, "details": {}}
    rain["details"]["precipitation_amount"] = 0.1 * hours_n
    spans = {f"next_{hours_n}_hours": rain}
    return {"time": time, "data": {"instant": {"details": details}, **spans}}


def nasa_power_reply():
    """Return four days; the sun of the last two has not come yet."""
    at_s = hours_s(-96, 24 * 4)
    keys = iso(at_s, "%Y%m%d%H")
    sun = np.where(np.arange(at_s.size) < 48, sun_w_m2(at_s), -999.0)
    columns = {
        "T2M": (warmth_c(at_s), "C"),
        "RH2M": (humidity_percent(at_s), "%"),
        "WS2M": (np.full(at_s.size, 2.1), "m/s"),
        "PRECTOTCORR": (np.full(at_s.size, 0.05), "mm/hour"),
        "ALLSKY_SFC_SW_DWN": (sun, "Wh/m^2"),
    }
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [13.8, 45.7, 120.5]},
        "properties": {
            "parameter": {
                name: dict(zip(keys, cells.tolist(), strict=True))
                for name, (cells, _) in columns.items()
            }
        },
        "header": {
            "title": "NASA/POWER Source Native Resolution Hourly Data",
            "api": {"version": "v2.5.0"},
            "sources": ["POWER"],
            "fill_value": -999.0,
            "time_standard": "UTC",
            "start": keys[0][:8],
            "end": keys[-1][:8],
        },
        "messages": [],
        "parameters": {
            name: {"units": unit, "longname": name}
            for name, (_, unit) in columns.items()
        },
        "times": {"data": 0.9, "process": 0.1},
    }


STATION = StationMap(
    columns=(
        StationColumn(head="Temp", name="air_temperature_c", unit="degC"),
        StationColumn(head="Hum", name="relative_humidity_frac", unit="%"),
        StationColumn(head="Wind", name="wind_speed_2m_m_s", unit="km/h"),
        StationColumn(head="Rain", name="rain_mm", unit="mm"),
        StationColumn(head="Solar", name="shortwave_w_m2", unit="W/m2"),
    ),
    time=("Time",),
)


def station_text(from_h=-24, hours_n=34):
    at_s = hours_s(from_h, hours_n)
    cells = zip(
        iso(at_s, "%Y-%m-%dT%H:%MZ"),
        warmth_c(at_s),
        humidity_percent(at_s),
        np.full(at_s.size, 7.2),
        np.zeros(at_s.size),
        sun_w_m2(at_s),
        strict=True,
    )
    lines = [",".join(map(str, row)) for row in cells]
    return "\n".join(["Time,Temp,Hum,Wind,Rain,Solar", *lines]) + "\n"


SOURCES = {
    "forecast": (lambda url: OpenMeteo(host=url), open_meteo_reply),
    "members": (
        lambda url: OpenMeteo(service=Service.MEMBERS, host=url),
        members_reply,
    ),
    "archive": (
        lambda url: OpenMeteo(service=Service.ARCHIVE, host=url),
        archive_reply,
    ),
    "met": (
        lambda url: MetNorway(host=url, contact="trees@stone-stair.example"),
        met_norway_reply,
    ),
    "power": (lambda url: NasaPower(host=url), nasa_power_reply),
    "page": (
        lambda url: Folder(place=f"{url}/station.csv", how=STATION),
        station_text,
    ),
}


def folder_with(tmp_path: Path, text: str) -> Folder:
    (tmp_path / "july.csv").write_text(text)
    return Folder(place=str(tmp_path), how=STATION)
