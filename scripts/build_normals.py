"""Build library/world/normals.npz: the normals of all land, half a degree apart.

    python -m scripts.build_normals [--out FILE]

Run build_gazetteer.py first: the cells of all its places are kept. Needs NumPy,
h5py and the packages named in docs/world.md; takes about ten seconds.
"""

import argparse
import zlib
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arbuscula.weather.grid import ELEVATION_STEP_M, STEPS, by_tile
from scripts import world_models, world_sources

WORLD = Path(__file__).parents[1] / "src" / "arbuscula" / "library" / "world"
EARTH_KM = 6371
RAIN_REACH_KM = 500
LIT_MJ_M2_D = 4  # in darker months clearness says little
DRY_MM = 50  # drier years say little of a ratio
LARGEST_STEP = 2**14  # what zigzag leaves room for in two bytes

Cells = NDArray[np.float64]
Fields = dict[str, Cells]


def build(out: Path) -> None:
    """Build the table and tell its size."""
    fields = world_sources.cell_fields()
    kept = world_sources.kept_cells(1 - fields["sea_0.25"], gazetteer_points())
    cells = listed(fields, kept)
    filled_n = fill_islands(cells)
    normals = world_models.normals_of(cells, world_models.coefficients())
    longitude = world_sources.LONGITUDES_DEG[np.nonzero(kept)[1]]
    rain_mm = cells["rain_mm"] * rain_factor(cells, longitude)[:, None]
    normals["rain_root"] = np.sqrt(rain_mm)
    write(out, kept, counts(normals, cells["elevation_m"]))
    size_mb = out.stat().st_size / 1e6
    print(f"{kept.sum()} cells, {filled_n} of estimated clearness, {size_mb:.2f} MB")


def gazetteer_points() -> Cells:
    """Return latitude and longitude of every place of the gazetteer."""
    with np.load(WORLD / "gazetteer.npz") as table:
        return table["point"].T / 100


def listed(fields: Fields, kept: NDArray[np.bool_]) -> Fields:
    """Return the kept cells of each field as rows: (cells, 12) or (cells, 1)."""
    cells = {}
    for name, field in fields.items():
        months = np.moveaxis(field.reshape(-1, *kept.shape), 0, -1)
        cells[name] = months[kept].astype("f8")
    cells["latitude_deg"] = world_sources.LATITUDES_DEG[np.nonzero(kept)[0]][:, None]
    return cells


def fill_islands(cells: Fields) -> int:
    """Estimate clearness where the satellite knows no land; return how often."""
    missing = ~np.isfinite(cells["clearness"]).all(1)
    features = world_models.island_features(cells)
    lit = (cells["above"] > LIT_MJ_M2_D) & ~missing[:, None]
    known = cells["clearness"][lit][::7]
    slopes = np.linalg.lstsq(features[lit][::7], known, rcond=None)[0]
    cells["clearness"][missing] = np.clip(features[missing] @ slopes, 0.12, 0.75)
    return int(missing.sum())


def rain_factor(cells: Fields, longitude: Cells) -> Cells:
    """Return what each cell's rain is multiplied by, learnt from 270 cities.

    Kriging of the logarithm of city over table; the shape of the year stays.
    """
    city_latitude, city_longitude, known_mm = world_sources.city_rain()
    cell, city = (
        on_sphere(cells["latitude_deg"][:, 0], longitude),
        on_sphere(city_latitude, city_longitude),
    )
    table_mm = cells["rain_mm"].sum(1)[(cell @ city.T).argmax(0)]
    wet = (known_mm > DRY_MM) & (table_mm > DRY_MM)
    city, ratio = city[wet], np.log(known_mm[wet] / table_mm[wet])
    noise = 0.15**2 * np.eye(len(ratio))
    weight = np.linalg.solve(alike(city, city) + noise, ratio - ratio.mean())
    return np.exp(np.clip(ratio.mean() + alike(cell, city) @ weight, -0.7, 0.7))


def on_sphere(latitude_deg: Cells, longitude_deg: Cells) -> Cells:
    """Return unit vectors."""
    a, b = np.radians(latitude_deg), np.radians(longitude_deg)
    return np.stack([np.cos(a) * np.cos(b), np.cos(a) * np.sin(b), np.sin(a)], -1)


def alike(one: Cells, other: Cells) -> Cells:
    """Return how much the errors of two points have in common."""
    away_km = EARTH_KM * np.arccos(np.clip(one @ other.T, -1, 1))
    return 0.09 * np.exp(-away_km / RAIN_REACH_KM)


def counts(normals: Fields, elevation_m: Cells) -> NDArray[np.int32]:
    """Return whole counts, cell by cell: the elevation's, then field by month."""
    rows = [np.rint(elevation_m / ELEVATION_STEP_M)]
    rows += [np.rint(normals[name] / step) for name, step in STEPS.items()]
    return np.concatenate(rows, axis=1).astype("i4")


def write(out: Path, kept: NDArray[np.bool_], cells: NDArray[np.int32]) -> None:
    """Write the table, tile by tile."""
    whole = np.zeros((*kept.shape, cells.shape[1]), "i4")
    whole[kept] = cells
    tiles = whole.reshape(kept.size, -1)[
        by_tile(np.arange(kept.size).reshape(kept.shape))
    ]
    parts = [
        packed(tile[here].T) for tile, here in zip(tiles, by_tile(kept), strict=True)
    ]
    start = np.cumsum([0, *map(len, parts)]).astype("i4")
    packed_bytes = np.frombuffer(b"".join(parts), "u1")
    np.savez(out, kept=np.packbits(kept), start=start, packed=packed_bytes)


def packed(rows: NDArray[np.int32]) -> bytes:
    """Return one tile, deflated: steps along months and cells, in zigzag."""
    months = rows[1:].reshape(len(STEPS), 12, -1)
    rows[1:] = np.diff(months, axis=1, prepend=0).reshape(12 * len(STEPS), -1)
    steps = np.diff(rows, axis=1, prepend=0)
    if np.abs(steps).max(initial=0) >= LARGEST_STEP:
        raise OverflowError
    zigzag = ((steps << 1) ^ (steps >> 31)).astype("u2")
    planes = (zigzag & 255).astype("u1").tobytes() + (zigzag >> 8).astype(
        "u1"
    ).tobytes()
    return zlib.compress(planes, 9) if steps.size else b""


if __name__ == "__main__":
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--out", type=Path, default=WORLD / "normals.npz")
    build(arguments.parse_args().out)
