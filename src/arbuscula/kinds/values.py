"""Values: numbers, and how far to trust them."""

from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

Num: TypeAlias = float | NDArray[np.float64]


class Grade(StrEnum):
    """How a number came to us, the firmest first."""

    MEASURED = "measured"
    READ = "read"
    SECOND_HAND = "second-hand"
    FROM_MEMORY = "from memory"
    COMPUTED = "computed"
    PRACTICE = "practice"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """A number of the library: its spread, its source, its grade."""

    value: float
    low: float
    high: float
    source: str
    grade: Grade


Number = TypeVar("Number")  # a Value in the library, a Num in the science


@dataclass(frozen=True, slots=True)
class Within:
    """The range that a reader lets in: `Annotated[float, Within(1, 1000)]`."""

    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where numbers of the library come from."""

    cite: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """What an ensemble says: one in ten below, the middle, one in ten above."""

    p10: float
    p50: float
    p90: float
