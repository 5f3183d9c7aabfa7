"""NASA POWER: the past of any place by the hour, from satellites and a model.

Light comes weeks or months later than the air; what is not there yet is a gap.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import ClassVar, Final
from urllib.parse import urlencode

import numpy as np

from arbuscula.kinds.forecast import Ask, Heard, Validity
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.units import HOUR_S
from arbuscula.weather.fetch import fetch
from arbuscula.weather.foreign import in_our_unit
from arbuscula.weather.packed import observed_batch
from arbuscula.weather.reply import (
    json_of,
    numbers_in,
    numbers_of,
    part_of,
    refuse_elsewhere,
)

KEY: Final = "nasa-power"

NAMES: Final = {
    "T2M": "air_temperature_c",
    "RH2M": "relative_humidity_frac",
    "WS2M": "wind_speed_2m_m_s",
    "PRECTOTCORR": "rain_mm",
    "ALLSKY_SFC_SW_DWN": "shortwave_w_m2",
}
TIME_FORMAT: Final = "%Y%m%d%H"


@dataclass(frozen=True, slots=True, kw_only=True)
class NasaPower:
    """The service."""

    host: str = "https://power.larc.nasa.gov"

    key: ClassVar[str] = KEY
    attribution: ClassVar[str] = (
        "Data from the NASA Langley Research Center POWER Project"
    )
    terms: ClassVar[Said] = Said("weather.terms_nasa_power", {"source": KEY})

    def hear(self, ask: Ask) -> Heard:
        """Ask it for one place and a span of days."""
        address = _address(self, ask)
        page = fetch(address, silent_s=ask.silent_s, longest_s=ask.longest_s)
        reply = json_of(page.body, source=KEY)
        place = numbers_in(reply, "geometry", "coordinates", source=KEY)
        refuse_elsewhere(ask.spot, place[1::-1], source=KEY)
        batch = observed_batch(
            rows_of_reply(reply),
            yard=ask.yard,
            source=KEY,
            now_s=ask.now_s,
            attribution=self.attribution,
        )
        validity = Validity(address=address, expires_s=ask.now_s + page.lasts_s)
        return Heard(batches=(batch,), validity=validity)


def _address(chosen: NasaPower, ask: Ask) -> str:
    query = {
        "parameters": ",".join(NAMES),
        "community": "re",
        "latitude": f"{ask.spot.latitude_deg:.4f}",
        "longitude": f"{ask.spot.longitude_deg:.4f}",
        "start": f"{datetime.fromtimestamp(ask.from_s, tz=UTC):%Y%m%d}",
        "end": f"{datetime.fromtimestamp(ask.until_s, tz=UTC):%Y%m%d}",
        "time-standard": "utc",
        "format": "json",
    }
    path = "api/temporal/hourly/point"
    return f"{chosen.host.rstrip('/')}/{path}?{urlencode(query, safe=',')}"


def rows_of_reply(reply: object) -> WeatherRows:
    """Return the hours of which anything is told; the fill value is a gap."""
    told = part_of(reply, "properties", "parameter", source=KEY)
    fill = part_of(reply, "header", "fill_value", source=KEY)
    by_name = {theirs: _by_hour(told, theirs) for theirs in NAMES}
    hours = sorted({hour for by_hour in by_name.values() for hour in by_hour})
    from_s = np.array([_unix_s(hour) for hour in hours])
    cells = {
        ours: _cells(reply, theirs, [by_name[theirs].get(h, fill) for h in hours], fill)
        for theirs, ours in NAMES.items()
    }
    any_told = np.isfinite([*cells.values()]).any(axis=0)
    return WeatherRows(
        from_s=from_s[any_told],
        until_s=from_s[any_told] + HOUR_S,
        **{ours: told[any_told] for ours, told in cells.items()},
    )


def _by_hour(told: object, theirs: str) -> dict[str, object]:
    found = told.get(theirs) if isinstance(told, Mapping) else None
    return found if isinstance(found, dict) else {}


def _cells(reply: object, theirs: str, cells: list[object], fill: object) -> Row:
    """Return one quantity in our unit, hour by hour."""
    known = [None if cell == fill else cell for cell in cells]
    numbers = numbers_of(known, count=len(cells), name=theirs, source=KEY)
    if np.isnan(numbers).all():
        return numbers
    unit = str(part_of(reply, "parameters", theirs, "units", source=KEY))
    return np.asarray(in_our_unit(numbers, name=NAMES[theirs], unit=unit, where=KEY))


def _unix_s(hour: str) -> float:
    try:
        at = datetime.strptime(hour, TIME_FORMAT).replace(tzinfo=UTC)
    except ValueError:
        figures: dict[str, Figure] = {"source": KEY, "found": hour[:60]}
        raise ArbusculaError(Said("weather.no_time", figures)) from None
    return at.timestamp()
