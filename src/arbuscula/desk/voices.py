"""Voices: sensors, stations and lines that speak by themselves, and when they did."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Final

from arbuscula.desk import Desk
from arbuscula.desk.followed import Yarded
from arbuscula.kinds.alarm import Peril, Threat
from arbuscula.kinds.events import Measured, Sort, Watered
from arbuscula.rules.silence import silent_h
from arbuscula.state.book import standing
from arbuscula.units import HOUR_S
from arbuscula.weather.archive import batches
from arbuscula.weather.sensors import HIGH, LOW
from arbuscula.weather.sources import FOLDER

REMEMBERED: Final = timedelta(days=14)  # of whoever spoke last before then nothing is
BY_HAND: Final = (LOW, HIGH)  # a min-max thermometer is read by somebody

Voices = dict[tuple[str, str], list[float]]  # who, and what of; when


def silences(desk: Desk, yarded: Yarded, at: datetime) -> Iterator[Threat]:
    """Yield who has fallen silent in a yard, once for each time they spoke last."""
    figures, now_s = desk.library().alarms, at.timestamp()
    for (subject, what), told_s in _voices(desk, yarded, at).items():
        gone_h = silent_h(told_s, now_s, figures)
        if gone_h:
            last = datetime.fromtimestamp(max(told_s), at.tzinfo)
            yield Threat(
                peril=Peril.SILENT,
                when=f"{subject}, {what}, {last:%Y-%m-%dT%H:%M}",
                bench=subject if subject in yarded.benches else "",
                warn_frac=1.0,
                figures={
                    "subject": subject,
                    "what": what,
                    "silent_h": gone_h,
                    "last_at": last,
                },
            )


def _voices(desk: Desk, yarded: Yarded, at: datetime) -> Voices:
    since = at - REMEMBERED
    voices: Voices = defaultdict(list)
    places = {yarded.key, *yarded.benches}
    for event in standing(yarded.events):
        if not since <= event.happened <= at:
            continue
        match event.facts:
            case Measured(reading=reading) if event.subject in places:
                if reading.quantity not in BY_HAND:
                    key = (event.subject, reading.quantity)
                    voices[key].append(event.happened.timestamp())
            case Watered() if event.sort is Sort.SOURCE:
                key = (event.subject, event.kind)
                voices[key].append(event.happened.timestamp())
    for kept in batches(desk.archive(), yarded.key):
        if kept.source == FOLDER and kept.until_s >= since.timestamp():
            reached_s = min(kept.until_s, at.timestamp())
            voices[yarded.key, FOLDER].append(reached_s // HOUR_S * HOUR_S)
    return voices
