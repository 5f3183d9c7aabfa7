"""Place: where trees stand, and when somebody walks past them."""

from dataclasses import dataclass
from datetime import time
from enum import StrEnum
from typing import Annotated

from arbuscula.kinds.values import Within


class Exposure(StrEnum):
    """What stands between a bench and the sky."""

    OPEN = "open"
    SHADE_NETTING = "shade netting"
    RAIN_COVER = "rain cover"
    GLASSHOUSE = "glasshouse"
    COLD_FRAME = "cold frame"
    WINDOW = "window"
    LAMP = "lamp"
    ROOM = "room"
    SHELTER_FLOOR = "floor space in a shelter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Yard:
    """A place on Earth: a nursery, a home."""

    name: str
    latitude_deg: Annotated[float, Within(-90, 90)]
    longitude_deg: Annotated[float, Within(-180, 180)]
    elevation_m: Annotated[float, Within(-500, 9000)] | None = None
    timezone: str  # a name of the IANA database
    rounds: tuple[time, ...] = (time(8), time(18))  # when each round begins
    longest_unseen_d: Annotated[float, Within(0.25, 60)] = 7.0  # practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A standing place with an order in the walk; a windowsill is one.

    What a later description leaves unsaid (None) stays as it was.
    """

    yard: str
    name: str
    exposure: Exposure
    order_n: int | None = None  # in the walk; None: at its end
    capacity_n: Annotated[int, Within(1, 100_000)] | None = None  # pots
    facing_deg: Annotated[float, Within(0, 360)] | None = None  # 0 north, 90 east
    shade_frac: Annotated[float, Within(0, 1)] | None = None  # light the netting takes
    sky_frac: Annotated[float, Within(0, 1)] | None = None  # of the sky in sight
