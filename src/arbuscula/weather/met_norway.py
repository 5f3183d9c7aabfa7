"""MET Norway: its forecast for any place on Earth, ten days, one course.

It asks who is calling, and that nobody calls again before its reply expires.
Light is not told; it follows from the sun and the cloud.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar, Final
from urllib.parse import urlencode

import numpy as np

from arbuscula.kinds.forecast import Ask, Batch, Heard, Validity, WeatherSort
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.weather import Row, Spot, WeatherRows
from arbuscula.science.air import wind_speed_2m_m_s
from arbuscula.science.sun import (
    clear_sky_transmission_frac,
    cloud_transmission_frac,
    extraterrestrial_mj_m2_h,
)
from arbuscula.units import HOUR_S, W_M2_IN_MJ_M2_H
from arbuscula.weather.fetch import DEPRECATED, NOT_MODIFIED, fetch
from arbuscula.weather.foreign import (
    WIND_HEIGHT_M,
    in_our_unit,
)
from arbuscula.weather.reply import (
    json_of,
    numbers_in,
    numbers_of,
    part_of,
    refuse_elsewhere,
    unix_s_of,
    words_in,
)

KEY: Final = "met-norway"
DIGITS_N: Final = 4  # more are refused
STALE_H: Final = 48.0  # a forecast as old is another sign of a wrong clock

AIR: Final = {
    "air_temperature": "air_temperature_c",
    "relative_humidity": "relative_humidity_frac",
    "wind_speed": "wind_speed_2m_m_s",
    "cloud_area_fraction": "cloud_frac",
}
RAIN: Final = "precipitation_amount"
SPANS_H: Final = {"next_1_hours": 1, "next_6_hours": 6}  # the shorter one is taken

Points = Sequence[object]


@dataclass(frozen=True, slots=True, kw_only=True)
class MetNorway:
    """The service, and whom it may write to."""

    contact: str  # a mail address or a page of the grower's
    host: str = "https://api.met.no"

    key: ClassVar[str] = KEY
    # NLOD or CC BY 4.0
    attribution: ClassVar[str] = "Data from MET Norway (https://www.met.no/)"
    terms: ClassVar[Said] = Said("weather.terms_met_norway", {"source": KEY})

    def hear(self, ask: Ask) -> Heard:
        """Ask it for one place, unless its last reply still holds."""
        if not any(mark in self.contact for mark in "@/"):
            raise ArbusculaError(
                _fault("weather.no_contact", found=self.contact or "nothing")
            )
        address, earlier = _address(self, ask.spot), ask.earlier
        last_modified = earlier.last_modified if earlier.address == address else ""
        page = fetch(
            address,
            contact=self.contact,
            last_modified=last_modified,
            silent_s=ask.silent_s,
            longest_s=ask.longest_s,
        )
        validity = Validity(
            address=address,
            last_modified=page.last_modified or last_modified,
            expires_s=ask.now_s + page.lasts_s,
        )
        if page.status == NOT_MODIFIED:
            return Heard(batches=(), validity=validity)
        old = Said("weather.deprecated", {"source": KEY})
        return Heard(
            batches=(_batch(self, ask, page.body),),
            notes=(old,) if page.status == DEPRECATED else (),
            validity=validity,
        )


def _address(chosen: MetNorway, spot: Spot) -> str:
    query = {
        "lat": f"{round(spot.latitude_deg, DIGITS_N):g}",
        "lon": f"{round(spot.longitude_deg, DIGITS_N):g}",
        "altitude": f"{spot.elevation_m:.0f}",
    }
    path = "weatherapi/locationforecast/2.0/compact"
    return f"{chosen.host.rstrip('/')}/{path}?{urlencode(query)}"


def _batch(chosen: MetNorway, ask: Ask, body: bytes) -> Batch:
    reply = json_of(body, source=KEY)
    place = numbers_in(reply, "geometry", "coordinates", source=KEY)
    refuse_elsewhere(ask.spot, place[1::-1], source=KEY)
    updated = part_of(reply, "properties", "meta", "updated_at", source=KEY)
    (issued_s,) = unix_s_of([updated], source=KEY)
    if abs(ask.now_s - issued_s) > STALE_H * HOUR_S:
        ahead_h = float(issued_s - ask.now_s) / HOUR_S
        raise ArbusculaError(_fault("weather.clock", ahead_h=ahead_h))
    return Batch(
        yard=ask.yard,
        source=KEY,
        sort=WeatherSort.FORECAST,
        issued_s=float(issued_s),
        read_s=ask.now_s,
        attribution=chosen.attribution,
        rows=rows_of_reply(reply, ask.spot),
    )


def rows_of_reply(reply: object, spot: Spot) -> WeatherRows:
    """Return hourly rows between the points of time that are told.

    Between two points the air changes evenly; rain of six hours falls evenly.
    """
    points = part_of(reply, "properties", "timeseries", source=KEY)
    points = points if isinstance(points, list) else []
    units = words_in(reply, "properties", "meta", "units", source=KEY)
    at_s = unix_s_of([part_of(p, "time", source=KEY) for p in points], source=KEY)
    if at_s.size == 1 or (np.diff(at_s) <= 0).any():
        raise ArbusculaError(_fault("weather.times"))
    whole_s = np.arange(at_s[0], at_s[-1] + 1, HOUR_S)
    air = {
        ours: np.interp(whole_s, at_s, _told(points, theirs, ours, units))
        for theirs, ours in AIR.items()
    }
    held = {ours: (cells[1:] + cells[:-1]) / 2 for ours, cells in air.items()}
    from_s = whole_s[:-1]
    wind = wind_speed_2m_m_s(
        wind_speed_m_s=held["wind_speed_2m_m_s"], height_m=WIND_HEIGHT_M
    )
    return WeatherRows(
        from_s=from_s,
        until_s=whole_s[1:],
        air_temperature_c=held["air_temperature_c"],
        relative_humidity_frac=held["relative_humidity_frac"],
        wind_speed_2m_m_s=np.asarray(wind),
        rain_mm=_rain_mm(points, at_s, from_s, units),
        shortwave_w_m2=shortwave_w_m2(from_s, held["cloud_frac"], spot),
    )


def _told(points: Points, theirs: str, ours: str, units: Mapping[str, str]) -> Row:
    """Return a quantity at each point, in our unit."""
    keys = ("data", "instant", "details", theirs)
    cells = [_found(point, *keys) for point in points]
    numbers = numbers_of(cells, count=len(points), name=theirs, source=KEY)
    unit = units.get(theirs, "")
    return np.asarray(in_our_unit(numbers, name=ours, unit=unit, where=KEY))


def _found(whole: object, *keys: str) -> object:
    """Return what stands under these keys, or nothing."""
    for key in keys:
        whole = whole.get(key) if isinstance(whole, Mapping) else None
    return whole


def _rain_mm(points: Points, at_s: Row, from_s: Row, units: Mapping[str, str]) -> Row:
    """Return rain by the hour, from the shortest span that a point tells."""
    spans = [_span(point) for point in points]
    hours_n = np.array([hours for hours, _ in spans])
    amounts = numbers_of(
        [cell for _, cell in spans], count=len(spans), name=RAIN, source=KEY
    )
    unit = units.get(RAIN, "")
    told_mm = np.asarray(in_our_unit(amounts, name="rain_mm", unit=unit, where=KEY))
    point = np.searchsorted(at_s, from_s, side="right") - 1
    inside = from_s < at_s[point] + hours_n[point] * HOUR_S
    return np.where(inside, told_mm[point] / hours_n[point], np.nan)


def _span(point: object) -> tuple[int, object]:
    """Return over how many hours rain is told, and how much."""
    for key, hours_n in SPANS_H.items():
        amount = _found(point, "data", key, "details", RAIN)
        if amount is not None:
            return hours_n, amount
    return 1, None


def shortwave_w_m2(from_s: Row, cloud_frac: Row, spot: Spot) -> Row:
    """Return the sun of each hour through this cloud."""
    above = extraterrestrial_mj_m2_h(
        unix_s=from_s, latitude_deg=spot.latitude_deg, longitude_deg=spot.longitude_deg
    )
    clear = clear_sky_transmission_frac(spot.elevation_m) * above
    return np.asarray(clear * cloud_transmission_frac(cloud_frac) * W_M2_IN_MJ_M2_H)


def _fault(message_id: str, **figures: Figure) -> Said:
    return Said(message_id, {"source": KEY, **figures})
