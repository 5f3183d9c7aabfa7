"""Tree: what its grower says of it. What is left unsaid stays as it was."""

from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias

from arbuscula.kinds.pot import Pot
from arbuscula.kinds.substrate import Mix
from arbuscula.kinds.values import Within

Crown: TypeAlias = Literal["small", "medium", "large"]
Density: TypeAlias = Literal["thin", "normal", "dense"]
Place: TypeAlias = Annotated[float, Within(0, 1e6)]  # 3.5 stands between 3 and 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """A tree as its grower describes it."""

    species: str  # a key of library/species
    bench: str | None = None
    place_n: Place | None = None  # along the bench; None: at its end
    label: str | None = None
    pot: Pot | None = None
    mix: Mix | None = None
    leaf_area_m2: Annotated[float, Within(0, 100)] | None = None  # else in words:
    crown: Crown | None = None
    density: Density | None = None
    height_cm: Annotated[float, Within(0, 2000)] | None = None  # above the soil
    spread_cm: Annotated[float, Within(0, 2000)] | None = None
    trunk_mm: Annotated[float, Within(0, 2000)] | None = None  # just above the roots


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Plants kept as one: a tray of cuttings, a forest, a tree on rock."""

    species: str
    form: Literal["tray", "forest", "on rock"] | None = None
    plants_n: Annotated[int, Within(0, 1_000_000)] | None = None
    bench: str | None = None
    place_n: Place | None = None
    label: str | None = None
    pot: Pot | None = None
    mix: Mix | None = None
    leaf_area_m2: Annotated[float, Within(0, 100)] | None = None  # of all together
    crown: Crown | None = None
    density: Density | None = None
    height_cm: Annotated[float, Within(0, 2000)] | None = None
    spread_cm: Annotated[float, Within(0, 2000)] | None = None
