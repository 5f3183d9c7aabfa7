"""Supplies: what a grower mixes, pours and keeps on the shelf."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Literal, TypeAlias

from arbuscula.kinds.substrate import Mix
from arbuscula.kinds.values import Within

Amount: TypeAlias = Annotated[float, Within(0, 1e9)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Money:
    """A sum, in the smallest coin of its currency, so that sums stay exact."""

    coins_n: Annotated[int, Within(0, 1e12)]
    currency: str  # three letters of ISO 4217


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """A mix with a name of its own. A tree keeps the shares it was potted in."""

    name: str
    mix: Mix


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterSource:
    """Where water comes from, and what hangs on it."""

    name: str
    way: Literal["hose", "drip line", "can", "tank"]
    reaches: tuple[str, ...] = ()  # benches, trees and groups, by their names
    flow_ml_h: Amount | None = None  # at each pot
    hardness_mg_l: Annotated[float, Within(0, 5000)] | None = None  # as CaCO3
    ec_ms_cm: Annotated[float, Within(0, 100)] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A product on the shelf, and how much of it is left."""

    product: str  # a key of the library, or the grower's own word
    left_g: Amount | None = None
    left_ml: Amount | None = None
    left_n: Amount | None = None
    price: Money | None = None  # of what is left
    expires: date | None = None
