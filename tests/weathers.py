"""Weathers: rows and batches for checks, hours counted from one midnight."""

from dataclasses import replace

import numpy as np

from arbuscula.kinds.forecast import Batch, WeatherSort
from arbuscula.weather.packed import rows_from

HOUR_S = 3600.0
AT_S = 1_783_555_200.0  # 9 July 2026, midnight UTC
YARD = "stone-stair"


def hours(from_h, hours_n, air_c=20.0, step_h=1.0, **told):
    from_s = AT_S + HOUR_S * (from_h + step_h * np.arange(hours_n))
    cells = {
        "air_temperature_c": air_c,
        "relative_humidity_frac": 0.6,
        "wind_speed_2m_m_s": 1.5,
        "rain_mm": 0.0,
        "shortwave_w_m2": 100.0,
    } | told
    rows = [
        np.array(c, float) if np.ndim(c) else np.full(hours_n, float(c))
        for c in cells.values()
    ]
    return rows_from([from_s, from_s + step_h * HOUR_S, *rows])


def observed(rows, read_h=24, source="station"):
    read_s = AT_S + read_h * HOUR_S
    return Batch(
        yard=YARD,
        source=source,
        sort=WeatherSort.OBSERVED,
        issued_s=read_s,
        read_s=read_s,
        attribution=f"thanks to {source}",
        rows=rows,
    )


def forecast(rows, issued_h=0, source="met-norway", **changed):
    told = replace(observed(rows, issued_h, source), sort=WeatherSort.FORECAST)
    return replace(told, **changed)


def always(air_c=5.0):
    """Return a filler to whom every hour is the same."""

    def fill(from_s, until_s, last_known, members_n):
        hours_n = round((until_s - from_s) / HOUR_S)
        return hours((from_s - AT_S) / HOUR_S, hours_n, air_c=air_c)

    return fill
