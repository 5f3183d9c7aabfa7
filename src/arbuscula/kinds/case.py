"""Case: one pot, its weather and its weights, as files tell them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Literal

from arbuscula.kinds.pot import Pot
from arbuscula.kinds.substrate import MixPart
from arbuscula.kinds.values import Within
from arbuscula.kinds.weather import Row, Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class Plant:
    """How much leaf the tree has, counted or in words."""

    leaf_area_m2: Annotated[float, Within(0.0005, 100)] | None = None
    crown: Literal["small", "medium", "large"] = "medium"
    density: Literal["thin", "normal", "dense"] = "normal"


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseFiles:
    """The tables of a case, named as seen from its own folder."""

    weather: str
    weights: str | None = None
    waterings: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrydownCase:
    """One pot to be followed until it is dry."""

    schema: Literal["arbuscula.drydown-case/1"]
    species: str
    forecast_from: datetime
    horizon_h: Annotated[float, Within(1, 1440)] = 120.0
    pot: Pot
    mix: Mapping[str, float | MixPart]
    plant: Plant
    yard: Spot | None = None
    files: CaseFiles


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """The scale's story: time and mass."""

    at_s: Row
    mass_g: Row


@dataclass(frozen=True, slots=True, kw_only=True)
class Waterings:
    """Water given: time and amount; infinite where it was soaked until it ran."""

    at_s: Row
    given_ml: Row
