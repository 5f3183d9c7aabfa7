"""The world's tables, opened once for all tests, and a few places."""

from pathlib import Path

import numpy as np

import arbuscula
from arbuscula.weather.gazetteer import find_place
from arbuscula.weather.normals import normals_at
from arbuscula.weather.world import read_world

WORLD = read_world(Path(arbuscula.__file__).parent / "library" / "world")
FIGURES = WORLD.figures.generator

NEAR_52_N = {"latitude_deg": 52.1, "longitude_deg": 5.2, "elevation_m": 4.0}


def place(text):
    return find_place(WORLD, text).place


def normals_of(text):
    here = place(text)
    return normals_at(
        WORLD,
        latitude_deg=here.latitude_deg,
        longitude_deg=here.longitude_deg,
        elevation_m=here.elevation_m,
    )


def arrays_of(kind):
    """Return the arrays of a frozen kind, by name."""
    parts = {name: getattr(kind, name) for name in kind.__slots__}
    return {name: part for name, part in parts.items() if isinstance(part, np.ndarray)}
