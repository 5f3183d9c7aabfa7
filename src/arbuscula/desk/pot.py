"""Pot: what a pot takes, level by level, and the usual sizes near it."""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from arbuscula.catalog.spoken import pot_from_words
from arbuscula.desk import Desk
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.values import Value
from arbuscula.microclimate.root_ball import absorbed_frac
from arbuscula.science.container import (
    area_cm2,
    finest_draining_grain_mm,
    sizes_near,
    top_area_cm2,
    volume_ml,
    wall_area_cm2,
)

LEVELS_N: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """One level of the pot, counted from the drainage hole."""

    height_mm: float
    area_cm2: float
    suction_cm: float  # of water at rest there


@dataclass(frozen=True, slots=True, kw_only=True)
class PotAnswer:
    """The answer: one pot's sizes, and pots near it."""

    schema: Literal["arbuscula.pot/1"] = "arbuscula.pot/1"
    pot: Pot
    volume_ml: float
    top_area_cm2: float
    wall_area_cm2: float
    finest_draining_grain_mm: float
    absorbed_frac: Value  # of the sun, by its walls
    profile: tuple[Level, ...]
    near: tuple[Pot, ...]


def pot(desk: Desk, words: str, *, taper_frac: float = 1.0) -> PotAnswer:
    """Say what this pot takes, and which usual sizes come near it."""
    found = pot_from_words(words, desk.library(), taper_frac=taper_frac)
    return PotAnswer(
        pot=found,
        volume_ml=volume_ml(found),
        top_area_cm2=top_area_cm2(found),
        wall_area_cm2=wall_area_cm2(found),
        finest_draining_grain_mm=finest_draining_grain_mm(found),
        absorbed_frac=absorbed_frac(found, desk.library().benches.pot.absorbed),
        profile=tuple(
            Level(
                height_mm=height_mm,
                area_cm2=float(area_cm2(found, height_mm / 10)),
                suction_cm=height_mm / 10,
            )
            for height_mm in np.linspace(0, found.depth_mm, LEVELS_N).tolist()
        ),
        near=tuple(sizes_near(found, desk.library().pots)),
    )
