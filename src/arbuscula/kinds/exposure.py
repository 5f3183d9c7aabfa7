"""Exposure: what a bench lets through of the place's weather."""

from dataclasses import dataclass

from arbuscula.kinds.values import Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelter:
    """What one exposure makes of the weather outside, until it is measured."""

    light_frac: Value
    rain_frac: Value
    wind_ratio: Value
    sky_seen_frac: Value  # longwave to the open sky
    outside_frac: Value  # of the air's warmth; the rest is the room's
    room_c: Value
    room_humidity_frac: Value
    outdoors: bool  # trees here feel tonight's cold
