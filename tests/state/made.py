"""A made fig in made weather, for tests of the state. Nothing here was measured."""

from importlib.resources import files
from pathlib import Path

import numpy as np

from arbuscula.catalog.library import read_library
from arbuscula.kinds.case import Plant
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.weather import WeatherRows
from arbuscula.microclimate.open_air import air_at_crown
from arbuscula.state.pots import PottedTree, members_of
from arbuscula.state.water import forcing_of

LIBRARY = read_library(Path(str(files("arbuscula"))) / "library")
START_S = 1_780_000_000.0 // 86_400 * 86_400
TREE = PottedTree(
    key="fig",
    species=LIBRARY.species["ficus-microcarpa"],
    pot=Pot(shape="oval", length_mm=235, width_mm=180, depth_mm=70, tare_g=850),
    mix={"pumice": 3.0, "akadama": 4.0, "pine-bark": 1.0},
    plant=Plant(leaf_area_m2=0.2),
)
MEMBERS = members_of(TREE, LIBRARY)


def made_rows(*, days_n, seed=3, start_s=START_S):
    """Return hourly rows without a place: light that is measured at the plant."""
    rng = np.random.default_rng(seed)
    hours = np.arange(24 * days_n)
    clear = rng.uniform(0.3, 1, days_n)[hours // 24]
    warm = rng.normal(0, 2, days_n)[hours // 24]
    wave = np.sin(2 * np.pi * (hours % 24 - 9) / 24)
    return WeatherRows(
        from_s=start_s + hours * 3600.0,
        until_s=start_s + (hours + 1) * 3600.0,
        air_temperature_c=19 + warm + 6 * wave * clear,
        relative_humidity_frac=np.clip(0.8 - 0.3 * clear * (wave + 0.6), 0.2, 0.98),
        wind_speed_2m_m_s=1.2 + 0.6 * wave,
        rain_mm=np.where((hours % 24 == 15) & (clear < 0.5), 0.8, 0.0),
        shortwave_w_m2=np.maximum(
            700 * clear * np.sin(np.pi * (hours % 24 - 6) / 13), 0
        ),
    )


def made_forcing(rows, tree=TREE):
    return forcing_of(
        tree, rows, air_at_crown(rows, None, LIBRARY.demand.ball), LIBRARY
    )
