"""Shelter: what a bench's exposure makes of the weather outside.

Shares and a room's own air, until benches know their panes and walls.
"""

from dataclasses import replace
from typing import Final

from arbuscula.kinds.exposure import Shelter
from arbuscula.kinds.leaf import CrownAir
from arbuscula.kinds.library import BallTraits
from arbuscula.kinds.place import Bench
from arbuscula.kinds.weather import Spot, WeatherRows
from arbuscula.microclimate.open_air import air_at_crown

STILL_AIR_RATIO: Final = 1.0
STILL_BELOW_RATIO: Final = 0.2  # of the wind outside: a room's own air


def rows_on_bench(rows: WeatherRows, bench: Bench, shelter: Shelter) -> WeatherRows:
    """Return the weather as it comes to one bench."""
    light_frac = shelter.light_frac.value
    if bench.shade_frac is not None:
        light_frac = 1 - bench.shade_frac
    if bench.sky_frac is not None:
        light_frac = light_frac * bench.sky_frac
    outside = shelter.outside_frac.value
    room_c, room_humidity = shelter.room_c.value, shelter.room_humidity_frac.value
    return replace(
        rows,
        air_temperature_c=outside * rows.air_temperature_c + (1 - outside) * room_c,
        relative_humidity_frac=outside * rows.relative_humidity_frac
        + (1 - outside) * room_humidity,
        wind_speed_2m_m_s=shelter.wind_ratio.value * rows.wind_speed_2m_m_s,
        rain_mm=shelter.rain_frac.value * rows.rain_mm,
        shortwave_w_m2=light_frac * rows.shortwave_w_m2,
    )


def air_on_bench(
    rows: WeatherRows, spot: Spot, bench: Bench, shelter: Shelter, ball: BallTraits
) -> CrownAir:
    """Return air and light at the crowns of one bench."""
    air = air_at_crown(rows_on_bench(rows, bench, shelter), spot, ball)
    is_still = shelter.wind_ratio.value < STILL_BELOW_RATIO
    return replace(
        air,
        longwave_w_m2=shelter.sky_seen_frac.value * air.longwave_w_m2,
        turbulence_ratio=STILL_AIR_RATIO if is_still else air.turbulence_ratio,
    )
