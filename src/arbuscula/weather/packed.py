"""Packed: rows of weather as bytes, a tenth of their size, and back.

Times keep every bit; quantities are 32-bit floats, finer than any instrument.
"""

import zlib
from collections.abc import Iterable
from dataclasses import replace
from typing import Final

import numpy as np

from arbuscula.kinds.forecast import (
    Batch,
    WeatherSort,
)
from arbuscula.kinds.weather import Row, WeatherRows

QUANTITIES: Final = (
    "air_temperature_c",
    "relative_humidity_frac",
    "wind_speed_2m_m_s",
    "rain_mm",
    "shortwave_w_m2",
)
TIMES: Final = ("from_s", "until_s")
LEVEL: Final = 6
TIME_TYPE: Final = np.dtype("<f8")
CELL_TYPE: Final = np.dtype("<f4")


def quantity(rows: WeatherRows, name: str) -> Row:
    """Return one quantity of the rows."""
    cells: Row = getattr(rows, name)
    return cells


def members_n(rows: WeatherRows) -> int:
    """Return how many members the rows have; one course has one."""
    return max(
        cells.shape[0] if cells.ndim > 1 else 1
        for cells in (quantity(rows, name) for name in QUANTITIES)
    )


def with_members(rows: WeatherRows) -> WeatherRows:
    """Return rows of which each quantity has the same axes; one course has one."""
    count = members_n(rows)
    shape = (count, rows.from_s.size) if count > 1 else (rows.from_s.size,)

    def shaped(cells: Row) -> Row:
        whole = cells if cells.ndim == 1 or cells.shape[0] > 1 else cells[0]
        return np.broadcast_to(whole, shape)

    return replace(rows, **{name: shaped(quantity(rows, name)) for name in QUANTITIES})


def as_stored(rows: WeatherRows) -> WeatherRows:
    """Return the rows as they will come back, every gap the same NaN."""
    stored = with_members(rows)
    cells = {name: _rounded(quantity(stored, name)) for name in QUANTITIES}
    return replace(stored, **cells)


def _rounded(cells: Row) -> Row:
    small = cells.astype(CELL_TYPE).astype(np.float64)
    return np.where(np.isnan(small), np.nan, small)


def packed(rows: WeatherRows) -> bytes:
    """Return the rows as bytes."""
    times = (_bytes(quantity(rows, name), TIME_TYPE) for name in TIMES)
    cells = (_bytes(quantity(rows, name), CELL_TYPE) for name in QUANTITIES)
    return zlib.compress(b"".join([*times, *cells]), LEVEL)


def _bytes(cells: Row, kind: np.dtype[np.floating]) -> bytes:
    """Return first all first bytes of the numbers, then all second ones."""
    plain = np.ascontiguousarray(cells, dtype=kind)
    return plain.view(np.uint8).reshape(-1, kind.itemsize).T.tobytes()


def unpacked(blob: bytes, *, rows_n: int, members_n: int) -> WeatherRows:
    """Return the rows of these bytes; damaged ones raise ValueError."""
    try:
        whole = np.frombuffer(zlib.decompress(blob), dtype=np.uint8)
    except zlib.error as error:
        raise ValueError(str(error)) from None
    cells_n = rows_n * members_n
    kinds = [TIME_TYPE] * len(TIMES) + [CELL_TYPE] * len(QUANTITIES)
    counts = [rows_n] * len(TIMES) + [cells_n] * len(QUANTITIES)
    ends = np.cumsum([n * kind.itemsize for n, kind in zip(counts, kinds, strict=True)])
    if whole.size != ends[-1]:
        raise ValueError(whole.size)
    parts = np.split(whole, ends[:-1].tolist())
    shape = (members_n, rows_n) if members_n > 1 else (rows_n,)
    numbers = [*map(_numbers, parts, kinds)]
    cells = [part.reshape(shape) for part in numbers[len(TIMES) :]]
    return rows_from([*numbers[: len(TIMES)], *cells])


def _numbers(part: np.ndarray[tuple[int], np.dtype[np.uint8]], kind: np.dtype) -> Row:
    plain = np.ascontiguousarray(part.reshape(kind.itemsize, -1).T)
    return plain.view(kind).reshape(-1).astype(np.float64)


def rows_from(arrays: Iterable[Row]) -> WeatherRows:
    """Return rows of arrays in the order of TIMES and QUANTITIES."""
    return WeatherRows(**dict(zip([*TIMES, *QUANTITIES], arrays, strict=True)))


def observed_batch(
    rows: WeatherRows, *, yard: str, source: str, now_s: float, attribution: str = ""
) -> Batch:
    """Return what a source saw, as it is told now."""
    return Batch(
        yard=yard,
        source=source,
        sort=WeatherSort.OBSERVED,
        issued_s=now_s,
        read_s=now_s,
        attribution=attribution,
        rows=rows,
    )
