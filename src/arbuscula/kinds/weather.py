"""Weather: rows of time as a station, a sensor or a forecast tells them."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.values import Within

Row = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A point on Earth."""

    latitude_deg: Annotated[float, Within(-90, 90)]
    longitude_deg: Annotated[float, Within(-180, 180)]
    elevation_m: Annotated[float, Within(-450, 6000)]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherRows:
    """Weather row by row; a row holds from its time to the next row's.

    Times are seconds since 1970 in UTC. `until_s` of the last row is as far
    from its start as the table's usual step.
    """

    from_s: Row
    until_s: Row
    air_temperature_c: Row
    relative_humidity_frac: Row
    wind_speed_2m_m_s: Row
    rain_mm: Row
    shortwave_w_m2: Row
