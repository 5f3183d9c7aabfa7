"""Open-Meteo: forecasts, members of ensembles, and the past.

Its free host is for non-commercial use; who pays has a key and hosts of his own.
Light and rain are told at the end of their hour, the rest at the moment.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any, Final
from urllib.parse import urlencode

import numpy as np

from arbuscula.kinds.forecast import Ask, Batch, Heard, Validity, WeatherSort
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.science.air import wind_speed_2m_m_s
from arbuscula.units import DAY_S
from arbuscula.weather.fetch import fetch
from arbuscula.weather.foreign import (
    WIND_HEIGHT_M,
    in_our_unit,
)
from arbuscula.weather.reply import (
    json_of,
    number_in,
    numbers_of,
    part_of,
    refuse_elsewhere,
    unix_s_of,
    words_in,
)

PAST_D: Final = 2
CLOCK_D: Final = 1.0  # how far its first day may lie from ours
LEAST_FRAC: Final = 0.5  # of the rows of the best member, or a member is left out

AIR: Final = {
    "temperature_2m": "air_temperature_c",
    "relative_humidity_2m": "relative_humidity_frac",
    "wind_speed_10m": "wind_speed_2m_m_s",
}
FALLEN: Final = {"precipitation": "rain_mm", "shortwave_radiation": "shortwave_w_m2"}
NAMES: Final = AIR | FALLEN

_MEMBER: Final = re.compile(r"(?:_member(?P<number>\d+))?(?:_(?P<model>[a-z]\w*))?")

MEMBERS_N: Final = {
    "ecmwf_ifs025_ensemble": 51,
    "ncep_gefs_seamless": 31,
    "ncep_gefs025": 31,
    "ncep_gefs05": 31,
    "dwd_icon_seamless_eps": 40,
    "gem_global_ensemble": 21,
}

Hours = Mapping[str, Any]


class Service(StrEnum):
    """What Open-Meteo is asked for."""

    FORECAST = "forecast"
    MEMBERS = "members"
    ARCHIVE = "archive"


HOSTS: Final = {
    Service.FORECAST: ("api", "forecast"),
    Service.MEMBERS: ("ensemble-api", "ensemble"),
    Service.ARCHIVE: ("archive-api", "archive"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenMeteo:
    """One of its services, as the grower has chosen it."""

    service: Service = Service.FORECAST
    host: str = ""  # such as http://127.0.0.1:8080; empty: its own
    api_key: str = ""
    model: str = ""  # empty: its best match, or its usual ensemble
    ahead_d: int = 15

    @property
    def key(self) -> str:
        """The name it is stored under."""
        kept = {Service.FORECAST: "open-meteo"}
        return kept.get(self.service, f"open-meteo-{self.service}")

    @property
    def attribution(self) -> str:
        """Whom to thank: CC BY 4.0."""
        return "Weather data by Open-Meteo.com (https://open-meteo.com/)"

    @property
    def terms(self) -> Said:
        """What one should know before choosing it."""
        return Said("weather.terms_open_meteo", {"source": self.key})

    def hear(self, ask: Ask) -> Heard:
        """Ask it for one place."""
        address = address_of(self, ask)
        secret = f"&apikey={self.api_key}" if self.api_key else ""
        page = fetch(address + secret, silent_s=ask.silent_s, longest_s=ask.longest_s)
        reply = _only(replies_of(page.body, source=self.key), self.key)
        place = [number_in(reply, key) for key in ("latitude", "longitude")]
        refuse_elsewhere(ask.spot, place, source=self.key)
        rows, notes = rows_of_reply(reply, source=self.key)
        if self.service is not Service.ARCHIVE:
            _refuse_other_day(rows, ask.now_s, self.key)
        count = (
            rows.air_temperature_c.shape[0] if rows.air_temperature_c.ndim > 1 else 1
        )
        notes += [*_short_of(self, count)]
        is_past = self.service is Service.ARCHIVE
        batch = Batch(
            yard=ask.yard,
            source=self.key,
            sort=WeatherSort.OBSERVED if is_past else WeatherSort.FORECAST,
            issued_s=ask.now_s,
            read_s=ask.now_s,
            attribution=self.attribution,
            rows=_until(rows, ask.now_s) if is_past else rows,
        )
        return Heard(
            batches=(batch,),
            notes=tuple(notes),
            validity=Validity(address=address, expires_s=ask.now_s + page.lasts_s),
        )


def address_of(chosen: OpenMeteo, ask: Ask) -> str:
    """Return what is asked of which host, without the key."""
    name, path = HOSTS[chosen.service]
    paying = "customer-" if chosen.api_key else ""
    host = chosen.host or f"https://{paying}{name}.open-meteo.com"
    query: dict[str, str] = {
        "latitude": f"{ask.spot.latitude_deg:.4f}",
        "longitude": f"{ask.spot.longitude_deg:.4f}",
        "elevation": f"{ask.spot.elevation_m:.0f}",
        "hourly": ",".join(NAMES),
        "wind_speed_unit": "ms",
        "timezone": "GMT",
        **_span(chosen, ask),
    }
    return f"{host.rstrip('/')}/v1/{path}?{urlencode(query, safe=',')}"


def _span(chosen: OpenMeteo, ask: Ask) -> dict[str, str]:
    if chosen.service is Service.ARCHIVE:
        days = {"start_date": _day(ask.from_s), "end_date": _day(ask.until_s)}
        return days | ({"models": chosen.model} if chosen.model else {})
    ahead = {"past_days": f"{PAST_D}", "forecast_days": f"{chosen.ahead_d}"}
    usual = "ecmwf_ifs025_ensemble" if chosen.service is Service.MEMBERS else ""
    model = chosen.model or usual
    return ahead | ({"models": model} if model else {})


def _day(at_s: float) -> str:
    return datetime.fromtimestamp(at_s, tz=UTC).date().isoformat()


def replies_of(body: bytes, *, source: str) -> tuple[Hours, ...]:
    """Return the reply for each place that was asked about; one or several."""
    whole = json_of(body, source=source)
    replies = whole if isinstance(whole, list) else [whole]
    if not all(isinstance(reply, Mapping) for reply in replies):
        raise ArbusculaError(_fault("weather.not_in_reply", source, key="hourly"))
    for reply in replies:
        if reply.get("error"):
            found = str(reply.get("reason", "nothing"))
            raise ArbusculaError(_fault("weather.said_no", source, found=found))
    return tuple(replies)


def _only(replies: Sequence[Hours], source: str) -> Hours:
    if len(replies) != 1:
        figures: dict[str, Figure] = {"found": f"{len(replies)}", "expected": "1"}
        raise ArbusculaError(_fault("weather.uneven", source, key="places", **figures))
    return replies[0]


def rows_of_reply(reply: Hours, *, source: str) -> tuple[WeatherRows, list[Said]]:
    """Return hourly rows, members first where there are any, and what is not told."""
    times = part_of(reply, "hourly", "time", source=source)
    hourly, offset_s = reply["hourly"], number_in(reply, "utc_offset_seconds")
    at_s = unix_s_of(times, offset_s=np.nan_to_num(offset_s), source=source)
    kept, notes = _members(hourly, at_s.size, source)
    cells = {
        ours: _cells(reply, theirs, kept, at_s.size, source)
        for theirs, ours in NAMES.items()
    }
    for ours in [ours for ours, told in cells.items() if np.isnan(told).all()]:
        notes.append(Said("weather.not_told", {"source": source, "quantity": ours}))
    rows = WeatherRows(
        from_s=at_s[:-1],
        until_s=at_s[1:],
        **{ours: _over_the_hour(cells[ours], ours) for ours in cells},
    )
    return rows, notes


def _cells(
    reply: Hours, theirs: str, members: Sequence[str], count: int, source: str
) -> Row:
    """Return one quantity in our unit: one course, or members first."""
    hourly, ours = reply["hourly"], NAMES[theirs]
    told = [
        numbers_of(hourly[f"{theirs}{m}"], count=count, name=theirs, source=source)
        if f"{theirs}{m}" in hourly
        else np.full(count, np.nan)
        for m in members
    ]
    cells = told[0] if len(members) == 1 else np.stack(told)
    if np.isnan(cells).all():
        return cells
    unit = _unit(reply, theirs, members, source)
    known = in_our_unit(cells, name=ours, unit=unit, where=source)
    if theirs == "wind_speed_10m":
        known = wind_speed_2m_m_s(wind_speed_m_s=known, height_m=WIND_HEIGHT_M)
    return np.asarray(known)


def _unit(reply: Hours, theirs: str, members: Sequence[str], source: str) -> str:
    units = words_in(reply, "hourly_units", source=source)
    return next((units[theirs + m] for m in members if theirs + m in units), "")


def _over_the_hour(cells: Row, ours: str) -> Row:
    """Return what held from each time to the next.

    Light and rain are told of the hour before; the air is told at the moment,
    and the mean of both ends stands for the hour between.
    """
    if ours in FALLEN.values():
        return cells[..., 1:]
    return (cells[..., 1:] + cells[..., :-1]) / 2


def _members(hourly: Hours, count: int, source: str) -> tuple[list[str], list[Said]]:
    """Return the endings of the members that told their temperature, by counting.

    One that fell silent halfway is left out, and so is one that never spoke.
    """
    theirs = next(iter(AIR))
    endings = sorted({e for key in hourly if (e := _ending(key, theirs)) is not None})
    if not endings:
        raise ArbusculaError(
            _fault("weather.not_in_reply", source, key=f"hourly.{theirs}")
        )
    told_n = {
        ending: np.isfinite(
            numbers_of(hourly[theirs + ending], count=count, name=theirs, source=source)
        ).sum()
        for ending in endings
    }
    most_n = max(told_n.values())
    if not most_n:
        raise ArbusculaError(_fault("weather.nothing_told", source))
    kept = [ending for ending in endings if told_n[ending] >= LEAST_FRAC * most_n]
    if len(kept) == len(endings):
        return kept, []
    found, expected = f"{len(kept)}", f"{len(endings)}"
    figures: dict[str, Figure] = {"source": source, "found": found}
    return kept, [Said("weather.members_missing", {**figures, "expected": expected})]


def _ending(key: str, theirs: str) -> str | None:
    """Return what a member's name adds to the quantity; None: another quantity."""
    ending = key.removeprefix(theirs)
    is_member = key.startswith(theirs) and _MEMBER.fullmatch(ending)
    return ending if is_member else None


def _short_of(chosen: OpenMeteo, count: int) -> Iterator[Said]:
    """Tell if there are fewer members than the model has."""
    if chosen.service is not Service.MEMBERS:
        return
    expected = MEMBERS_N.get(chosen.model or "ecmwf_ifs025_ensemble", 2)
    if count < expected:
        figures: dict[str, Figure] = {"source": chosen.key, "found": f"{count}"}
        yield Said("weather.members_missing", {**figures, "expected": f"{expected}"})


def _refuse_other_day(rows: WeatherRows, now_s: float, source: str) -> None:
    """Refuse a forecast that begins on another day than asked: a clock is wrong."""
    expected_s = now_s // DAY_S * DAY_S - PAST_D * DAY_S
    off_d = (rows.from_s[0] - expected_s) / DAY_S if rows.from_s.size else 0.0
    if abs(off_d) > CLOCK_D:
        raise ArbusculaError(_fault("weather.clock", source, ahead_h=float(off_d * 24)))


def _until(rows: WeatherRows, now_s: float) -> WeatherRows:
    """Return the rows that are past and told; the last days often are not yet."""
    told = np.isfinite(rows.air_temperature_c) & (rows.until_s <= now_s)
    return WeatherRows(
        from_s=rows.from_s[told],
        until_s=rows.until_s[told],
        **{ours: getattr(rows, ours)[told] for ours in NAMES.values()},
    )


def _fault(message_id: str, source: str, **figures: Figure) -> Said:
    return Said(message_id, {"source": source, **figures})
