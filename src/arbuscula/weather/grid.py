"""Grid: the world's normals in half-degree cells, packed by tiles."""

import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.world import Curve

ROWS_N: Final = 360  # the first is centred on 89.75 N
COLUMNS_N: Final = 720  # the first is centred on 179.75 W
TILE_ROWS_N: Final = 30
TILE_COLUMNS_N: Final = 60
ELEVATION_STEP_M: Final = 10.0
STEPS: Final = {  # what one count of the table is worth; rain in roots of mm a month
    "night_min_c": 0.1,
    "range_k": 0.2,
    "dew_below_min_k": 0.2,
    "rain_root": 1 / 6,
    "clearness_frac": 0.005,
}

_DOWN_N: Final = ROWS_N // TILE_ROWS_N
_ACROSS_N: Final = COLUMNS_N // TILE_COLUMNS_N
_LEAST_WEIGHT: Final = 1e-6
_REACH_N: Final = 3  # cells that the shore may be away
_CORNERS: Final = np.array([[0, 0], [0, 1], [1, 0], [1, 1]])
_RING: Final = np.array(
    sorted(
        ((r, c) for r in range(-_REACH_N, 4) for c in range(-_REACH_N, 4)),
        key=lambda at: (at[0] ** 2 + at[1] ** 2, at),
    )
)

Whole = NDArray[np.int64]
Numbers = NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class Grid:
    """The packed table; a tile is unpacked when a cell of it is asked for."""

    number: Numbers  # of each cell, by row and column; -1 where there is none
    first: Whole  # the first cell of each tile, and one past the last
    start: Whole  # the first byte of each tile, and one past the last
    packed: bytes


@dataclass(frozen=True, slots=True)
class Cells:
    """The cells around some points, and the share that each has."""

    number: Whole  # (points, 4)
    share: Curve  # (points, 4)

    @property
    def known(self) -> NDArray[np.bool_]:
        """Return which points have any cell at all."""
        return self.share.sum(axis=1) > 0


def read_grid(path: Path) -> Grid:
    """Read the packed table."""
    with np.load(path) as table:
        kept = np.unpackbits(table["kept"]).astype(bool).reshape(ROWS_N, COLUMNS_N)
        start, packed = table["start"].astype(np.int64), table["packed"].tobytes()
    tiles = by_tile(kept)
    first = np.concatenate([[0], tiles.sum(axis=1).cumsum()])
    number = np.where(tiles, tiles.cumsum(dtype=np.int32).reshape(tiles.shape) - 1, -1)
    return Grid(_from_tiles(number), first, start, packed)


def by_tile(cells: NDArray[Any]) -> NDArray[Any]:
    """Return a map cut into tiles: (tiles, cells of a tile)."""
    cut = cells.reshape(_DOWN_N, TILE_ROWS_N, _ACROSS_N, TILE_COLUMNS_N)
    return cut.swapaxes(1, 2).reshape(_DOWN_N * _ACROSS_N, -1)


def _from_tiles(tiles: NDArray[Any]) -> NDArray[Any]:
    cut = tiles.reshape(_DOWN_N, _ACROSS_N, TILE_ROWS_N, TILE_COLUMNS_N)
    return cut.swapaxes(1, 2).reshape(ROWS_N, COLUMNS_N)


def cells_around(grid: Grid, latitude_deg: Curve, longitude_deg: Curve) -> Cells:
    """Return the four cells around each point, shared by nearness.

    Where none of the four is land, the nearest cell within a degree and a half
    speaks alone; where there is no such cell either, all shares are nil.
    """
    y, x = (89.75 - latitude_deg) * 2, (longitude_deg + 179.75) * 2
    top, left = np.floor(y), np.floor(x)
    down, across = (y - top)[:, None], (x - left)[:, None]
    share = np.abs(1 - _CORNERS[:, 0] - down) * np.abs(1 - _CORNERS[:, 1] - across)
    number = _numbers(grid, top, left, _CORNERS)
    share = np.where((number >= 0) & (share > _LEAST_WEIGHT), share, 0.0)
    total = share.sum(axis=1, keepdims=True)
    share = share / np.where(total > 0, total, 1)
    lost = np.flatnonzero(total[:, 0] == 0)
    near = _numbers(grid, np.round(y[lost]), np.round(x[lost]), _RING)
    chosen = np.take_along_axis(near, (near >= 0).argmax(axis=1)[:, None], axis=1)
    number[lost, 0] = chosen[:, 0]
    share[lost, 0] = chosen[:, 0] >= 0
    return Cells(number, share)


def _numbers(grid: Grid, row: Curve, column: Curve, offsets: Whole) -> Whole:
    """Return the numbers of the cells at some offsets from each point."""
    rows = row.astype(np.int64)[:, None] + offsets[:, 0]
    columns = (column.astype(np.int64)[:, None] + offsets[:, 1]) % COLUMNS_N
    found = grid.number[np.clip(rows, 0, ROWS_N - 1), columns]
    return np.where((rows >= 0) & (rows < ROWS_N), found, -1)


def mixed_cells(grid: Grid, cells: Cells) -> tuple[Curve, dict[str, Curve]]:
    """Return each point's elevation of the ground, and its months of each field.

    Rain, kept as a root, is mixed as rain and returned in mm a month.
    """
    counts = _counts(grid, np.maximum(cells.number, 0).ravel())
    counts = counts.reshape(*cells.number.shape, -1)
    fields = dict(
        zip(
            STEPS,
            np.moveaxis(counts[..., 1:], -1, 0).reshape(
                len(STEPS), 12, *cells.number.shape
            ),
            strict=True,
        )
    )
    mixed = {}
    for name, count in fields.items():
        value = count * STEPS[name]
        value = value**2 if name == "rain_root" else value
        mixed[name] = np.einsum("mpk,pk->pm", value, cells.share)
    elevation_m = np.einsum("pk,pk->p", counts[..., 0], cells.share) * ELEVATION_STEP_M
    return elevation_m, mixed


def _counts(grid: Grid, number: Whole) -> Curve:
    """Return the counts of some cells: the elevation's, then field by month."""
    tile = np.searchsorted(grid.first, number, side="right") - 1
    counts = np.empty((number.size, 1 + 12 * len(STEPS)))
    for t in set(tile.tolist()):
        here = np.flatnonzero(tile == t)
        counts[here] = _unpacked(grid, t)[:, number[here] - grid.first[t]].T
    return counts


def _unpacked(grid: Grid, tile: int) -> NDArray[np.int32]:
    """Return a whole tile: zigzag steps along cells, and along months."""
    raw = zlib.decompress(grid.packed[grid.start[tile] : grid.start[tile + 1]])
    low, high = np.frombuffer(raw, np.uint8).astype(np.uint16).reshape(2, -1)
    zigzag = low | high << 8
    steps = (zigzag >> 1).astype(np.int16) ^ -(zigzag & 1).astype(np.int16)
    rows = steps.reshape(1 + 12 * len(STEPS), -1).cumsum(axis=1, dtype=np.int32)
    months = rows[1:].reshape(len(STEPS), 12, -1).cumsum(axis=1, dtype=np.int32)
    rows[1:] = months.reshape(12 * len(STEPS), -1)
    return rows
