"""EPW: the weather file of building engineers, one year by the hour.

Most of them are typical years, put together from months of many; what such a
file tells was never seen in that order.
"""

from io import StringIO
from pathlib import Path
from typing import Any, Final

import numpy as np

from arbuscula.kinds.forecast import Batch
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.weather import Row, Spot, WeatherRows
from arbuscula.science.air import wind_speed_2m_m_s
from arbuscula.strict.text import MOST_BYTES, text_of_file
from arbuscula.units import HOUR_S
from arbuscula.weather.foreign import WIND_HEIGHT_M
from arbuscula.weather.packed import (
    QUANTITIES,
    observed_batch,
    rows_from,
)
from arbuscula.weather.plausible import plausible

KEY: Final = "epw"
ROWS_OF_YEAR_N: Final = (8760, 8784)

NAMES: Final = {  # theirs, what to multiply with, and from where on it is a gap
    "air_temperature_c": ("temp_air", 1.0, 99.9),
    "relative_humidity_frac": ("relative_humidity", 0.01, 999.0),
    "wind_speed_2m_m_s": ("wind_speed", 1.0, 999.0),
    "rain_mm": ("liquid_precipitation_depth", 1.0, 999.0),
    "shortwave_w_m2": ("ghi", 1.0, 9999.0),
}


def epw_batch(
    path: Path, *, yard: str, spot: Spot, now_s: float, year: int | None = None
) -> tuple[Batch, tuple[Said, ...]]:
    """Return what the file tells of a yard, and what was left out of it.

    A typical year is refused unless a year is named that it shall stand for.
    """
    rows = _rows(path, year)
    batch = observed_batch(rows, yard=yard, source=KEY, now_s=now_s)
    return plausible(batch, spot)


def _rows(path: Path, year: int | None) -> WeatherRows:
    told = _read(path, year)
    years = sorted({at.year for at in told.index})
    if len(years) > 1:
        figures: dict[str, Figure] = {
            "file": path.name,
            "first": f"{years[0]}",
            "last": f"{years[-1]}",
        }
        raise ArbusculaError(Said("weather.epw_typical", figures))
    from_s = np.array([at.timestamp() for at in told.index])
    order = np.argsort(from_s)
    cells = [_cells(told, name)[order] for name in QUANTITIES]
    return rows_from([from_s[order], from_s[order] + HOUR_S, *cells])


def _read(path: Path, year: int | None) -> Any:  # noqa: ANN401 - a frame of pandas
    """Return the file as pvlib reads it, or say that it is none."""
    try:
        from pvlib.iotools import read_epw  # type: ignore[import-untyped]
    except ModuleNotFoundError:
        figures: dict[str, Figure] = {"file": path.name}
        raise ArbusculaError(Said("weather.epw_needs_pvlib", figures)) from None
    text = _text(path)
    try:
        told, _ = read_epw(StringIO(text), coerce_year=year)
    except (ValueError, KeyError, IndexError, TypeError) as error:
        figures = {"file": path.name, "found": str(error)[:80]}
        raise ArbusculaError(Said("weather.epw_unreadable", figures)) from None
    if len(told) not in ROWS_OF_YEAR_N:
        figures = {"file": path.name, "found": f"{len(told)} rows"}
        raise ArbusculaError(Said("weather.epw_unreadable", figures))
    return told


def _text(path: Path) -> str:
    """Return the text; names of towns in older files are in Latin-1."""
    try:
        return text_of_file(path)
    except ArbusculaError as error:
        if error.faults[0].message_id != "file.not_text":
            raise
    return path.read_bytes()[:MOST_BYTES].decode("latin-1")


def _cells(told: Any, name: str) -> Row:  # noqa: ANN401 - a frame of pandas
    theirs, times, gap = NAMES[name]
    raw = told[theirs].to_numpy(dtype=np.float64)
    cells = np.where(raw >= gap, np.nan, raw) * times
    if name != "wind_speed_2m_m_s":
        return cells
    low = wind_speed_2m_m_s(wind_speed_m_s=cells, height_m=WIND_HEIGHT_M)
    return np.asarray(low)
