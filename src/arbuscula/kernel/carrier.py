"""Carrier: carries lanes as the reference does, in compiled code on every core."""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields
from itertools import pairwise
from pathlib import Path
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from arbuscula.kernel.kept import compiled_in
from arbuscula.kernel.lanes import BLOCK_N, LINES_MOST_N, SCRATCH_N, Columns, Lane
from arbuscula.kernel.text import Width
from arbuscula.kinds.water import Ball, PotWater
from arbuscula.science.water.lanes import (
    CUT_KEPT_RATIO,
    Carried,
    Carry,
    Grid,
    Lanes,
    Skies,
    carried,
)

Told: TypeAlias = tuple[
    Columns,
    Columns,
    Columns,
    NDArray[np.int64],
    Columns,
    np.floating[Any],
    Grid,
    Grid,
]
LINE_BYTES: Final = 64  # of a processor's cache


def carrier_in(folder: Path, *, width: Width = "float32") -> Carry:
    """Return what carries lanes so wide; its code is kept in this folder."""
    carry_blocks = compiled_in(folder, width)

    def carried_fast(lanes: Lanes, skies: Skies, line_frac: Grid) -> Carried:
        if line_frac.shape[0] > LINES_MOST_N or _has_gaps(lanes, skies):
            return carried(lanes, skies, line_frac)
        return _carried(carry_blocks, width, lanes, skies, line_frac)

    return carried_fast


def _has_gaps(lanes: Lanes, skies: Skies) -> bool:
    """Return whether anything is unknown: compiled code takes numbers only."""
    told = (*_parts(skies), *_parts(lanes.water), *_parts(lanes.ball), lanes.day_ratio)
    return not all(np.isfinite(part).all() for part in told)


def _carried(
    carry_blocks: Callable[..., None],
    width: Width,
    lanes: Lanes,
    skies: Skies,
    line_frac: Grid,
) -> Carried:
    told = told_of(lanes, skies, line_frac, width)
    _, water, _, _, _, _, _, passed_h = told

    def take(blocks: tuple[int, int]) -> None:
        carry_blocks(scratch_of(width), blocks, *told)

    _share_out(take, -(-lanes.sky.size // BLOCK_N))
    return Carried(
        water=PotWater(**dict(zip(_names(PotWater), water, strict=True))),
        cut_frac=lanes.cut_frac * CUT_KEPT_RATIO ** skies.rain_mm.shape[0],
        passed_h=passed_h,
    )


def told_of(lanes: Lanes, skies: Skies, line_frac: Grid, width: Width) -> Told:
    """Return what the compiled text is told; water and passings are its own."""
    water = tuple(np.array(part) for part in _columns(*_parts(lanes.water)))
    return (
        _columns(*_parts(lanes.ball)),
        water,
        _ratios(lanes),
        lanes.sky,
        tuple(np.ascontiguousarray(part) for part in _parts(skies)),
        np.dtype(width).type(CUT_KEPT_RATIO),
        np.ascontiguousarray(line_frac),
        np.full((*line_frac.shape[:1], *water[0].shape), np.inf, np.float64),
    )


def scratch_of(width: Width) -> Lane:
    """Return room for a block, where no vector lies across two lines of a cache."""
    room = np.zeros(SCRATCH_N + LINE_BYTES, np.dtype(width))
    past_bytes = room.ctypes.data % LINE_BYTES
    first = (LINE_BYTES - past_bytes) % LINE_BYTES // room.itemsize
    return room[first : first + SCRATCH_N]


def _share_out(take: Callable[[tuple[int, int]], None], blocks_n: int) -> None:
    """Let every core take its share of the blocks."""
    cores_n = min(os.cpu_count() or 1, blocks_n)
    if cores_n < 2:  # noqa: PLR2004 - one does not share
        take((0, blocks_n))
        return
    ends = [blocks_n * n // cores_n for n in range(cores_n + 1)]
    with ThreadPoolExecutor(cores_n) as pool:
        list(pool.map(take, pairwise(ends)))


def _ratios(lanes: Lanes) -> Columns:
    """Return what each lane asks beside its sky, in the kernel's order."""
    return _columns(
        lanes.day_ratio,
        lanes.leaf_m2,
        lanes.demand_ratio,
        lanes.cut_frac,
        lanes.surface_ratio,
        lanes.wall_ratio,
        lanes.wall_cm2,
    )


def _columns(*parts: Grid) -> Columns:
    """Return arrays of members by trees; one row where all members are alike."""
    return tuple(np.ascontiguousarray(np.atleast_2d(part)) for part in parts)


def _parts(noun: Ball | PotWater | Skies) -> list[Grid]:
    return [np.asarray(getattr(noun, name)) for name in _names(type(noun))]


def _names(noun: type[Ball | PotWater | Skies]) -> list[str]:
    return [f.name for f in fields(noun)]
