"""Place: where trees stand, and when somebody walks past them."""

from dataclasses import dataclass
from datetime import time
from enum import StrEnum
from typing import Annotated, Literal, TypeAlias

from arbuscula.kinds.values import Within

Share: TypeAlias = Annotated[float, Within(0, 1)]
Floor: TypeAlias = Literal["ground", "concrete", "battens"]
Ventilation: TypeAlias = Literal["closed", "vents", "fan"]


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
    weather: tuple[str, ...] | None = None  # chosen sources, the most trusted first


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
    length_m: Annotated[float, Within(0.1, 10_000)] | None = None  # of all its rows
    facing_deg: Annotated[float, Within(0, 360)] | None = None  # 0 north, 90 east
    shade_frac: Share | None = None  # light that netting, paint or a blind takes
    sky_frac: Share | None = None  # of the sky in sight
    obstruction_deg: Annotated[float, Within(0, 90)] | None = None  # what faces it
    overhang_deg: Annotated[float, Within(0, 180)] | None = None  # edge of a roof
    floor: Floor | None = None
    glazing: str | None = None  # of the window: a key of library/glazings
    glass_distance_cm: Annotated[float, Within(0, 2000)] | None = None
    window_width_cm: Annotated[float, Within(10, 5000)] | None = None  # of the glass
    window_height_cm: Annotated[float, Within(10, 2000)] | None = None
    sill_height_cm: Annotated[float, Within(-300, 300)] | None = None  # over the pots
    curtain_frac: Share | None = None  # light that the curtain takes
    cover: str | None = None  # of a house or frame: a key of library/glazings
    ventilation: Ventilation | None = None
    vent_at_c: Annotated[float, Within(0, 50)] | None = None  # vents open, or fans run
    heat_to_c: Annotated[float, Within(-20, 40)] | None = None
    has_screen: bool | None = None  # drawn at night, against the cold
    ppfd_umol_m2_s: Annotated[float, Within(0, 3000)] | None = None  # of the lamp
    lit_h: Annotated[float, Within(0, 24)] | None = None
    lit_from: time | None = None  # by the sun
    winter_c: Annotated[float, Within(-20, 45)] | None = None  # of the room
    summer_c: Annotated[float, Within(-20, 45)] | None = None
    humidity_frac: Share | None = None  # of the room or house
    light_ratio: Annotated[float, Within(0.02, 50)] | None = None  # read over computed
