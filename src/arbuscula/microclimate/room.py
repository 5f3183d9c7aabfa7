"""Room: the air between four walls, and what of the outside comes into it."""

from dataclasses import replace

import numpy as np

from arbuscula.kinds.exposure import RoomFigures
from arbuscula.kinds.place import Bench
from arbuscula.kinds.values import Num
from arbuscula.microclimate.felt import Air, Outside, mean_of_last
from arbuscula.science.air import saturation_vapour_pressure_kpa
from arbuscula.units import DAY_H

STILL_AIR_RATIO = 1.0


def room_air(outside: Outside, bench: Bench, figures: RoomFigures) -> Air:
    """Return a room's air: warm as was said, with the vapour from outside.

    Heating adds no vapour. People and plants do, most in winter; a humidity that
    was said overrides both.
    """
    day_c = mean_of_last(outside.rows, outside.rows.air_temperature_c, DAY_H)
    air = Air(
        air_temperature_c=_room_c(day_c, bench, figures),
        vapour_pressure_kpa=outside.vapour_pressure_kpa + _own_kpa(day_c, figures),
        wind_speed_m_s=np.full_like(day_c, figures.crown_wind_m_s.value),
        turbulence_ratio=STILL_AIR_RATIO,
        in_the_open=False,
    )
    return with_vapour(air, bench)


def _room_c(day_c: Num, bench: Bench, figures: RoomFigures) -> Num:
    """Return the room's warmth, from winter's to summer's by the day outside."""
    winter_c = figures.winter_c.value if bench.winter_c is None else bench.winter_c
    usual_c = max(figures.summer_c.value, winter_c)
    summer_c = usual_c if bench.summer_c is None else bench.summer_c
    below_c, above_c = figures.winter_below_c.value, figures.summer_above_c.value
    share = np.clip((day_c - below_c) / (above_c - below_c), 0.0, 1.0)
    return winter_c + (summer_c - winter_c) * share


def _own_kpa(day_c: Num, figures: RoomFigures) -> Num:
    """Return what people and plants add; nothing once windows stand open."""
    until_c = figures.own_until_c.value
    return figures.own_vapour_kpa.value * np.clip((until_c - day_c) / until_c, 0.0, 1.0)


def with_vapour(air: Air, bench: Bench) -> Air:
    """Return air with the humidity that was said of a bench; never above full."""
    full_kpa = saturation_vapour_pressure_kpa(air.air_temperature_c)
    said = bench.humidity_frac
    vapour = air.vapour_pressure_kpa if said is None else said * full_kpa
    return replace(air, vapour_pressure_kpa=np.minimum(vapour, full_kpa))
