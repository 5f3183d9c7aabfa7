"""Sun: where it stands, how long it stays, and what reaches the ground."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.values import Num
from arbuscula.units import (
    DAY_S,
    HOUR_S,
)

SOLAR_CONSTANT_W_M2: Final = 1361.0
SUNRISE_HORIZON_DEG: Final = -0.833  # the sun's upper rim, lifted by the air
LOWEST_BEAM_DEG: Final = 3.0  # below this, all light counts as light of the sky

_DULL_FRAC: Final = 0.22  # clearness up to which nearly all light is the sky's
_BRIGHT_FRAC: Final = 0.80


@dataclass(frozen=True, slots=True, kw_only=True)
class SunPosition:
    """Where the sun's centre stands, as if there were no air."""

    elevation_deg: Num
    azimuth_deg: Num  # from north through east


@dataclass(frozen=True, slots=True, kw_only=True)
class BeamAndSky:
    """Sunlight parted by where it comes from."""

    beam_normal_w_m2: Num  # on a leaf that faces the sun
    diffuse_w_m2: Num  # from the whole sky, on flat ground


def sun_position(*, unix_s: Num, latitude_deg: Num, longitude_deg: Num) -> SunPosition:
    """Return where the sun stands at a moment, for a place.

    Shape: arguments broadcast together.
    Unit: seconds since 1970 in UTC; longitude counts eastward.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: 1950 to 2050, within 0.02 degrees of arc, all latitudes.
    Source: michalsky1988.
    Departs: the azimuth by a tangent of two arguments, which knows its
      quarter; the air's bending of light is left out.
    """
    right_ascension, declination = _sun_on_the_sphere(unix_s)
    turned_h = 6.697375 + 0.0657098242 * _days_since_2000(unix_s)
    sidereal_h = turned_h + unix_s % DAY_S / HOUR_S
    hour = np.radians(15 * sidereal_h + longitude_deg) - right_ascension
    latitude = np.radians(latitude_deg)
    east = -np.cos(declination) * np.sin(hour)
    out = np.cos(declination) * np.cos(hour)  # towards noon, along the equator
    north = np.sin(declination) * np.cos(latitude) - out * np.sin(latitude)
    up = np.sin(declination) * np.sin(latitude) + out * np.cos(latitude)
    return SunPosition(
        elevation_deg=np.degrees(np.arctan2(up, np.hypot(east, north))),
        azimuth_deg=np.degrees(np.arctan2(east, north)) % 360,
    )


def _days_since_2000(unix_s: Num) -> Num:
    return unix_s / DAY_S - 10957.5  # from noon of 1 January 2000


def _mean_anomaly_rad(unix_s: Num) -> Num:
    return np.radians(357.528 + 0.9856003 * _days_since_2000(unix_s))


def _sun_on_the_sphere(unix_s: Num) -> tuple[Num, Num]:
    """Return right ascension and declination, both in radians."""
    n, g = _days_since_2000(unix_s), _mean_anomaly_rad(unix_s)
    swing_deg = 1.915 * np.sin(g) + 0.020 * np.sin(2 * g)
    along = np.radians(280.460 + 0.9856474 * n + swing_deg)
    tilt = np.radians(23.439 - 4e-7 * n)
    right_ascension = np.arctan2(np.cos(tilt) * np.sin(along), np.cos(along))
    return right_ascension, np.arcsin(np.sin(tilt) * np.sin(along))


def extraterrestrial_normal_w_m2(unix_s: Num) -> Num:
    """Return the sunlight above the air, on a plane that faces the sun.

    Shape: any; the answer has the shape of the argument.
    Unit: seconds since 1970 in UTC.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: 1950 to 2050.
    Source: kopp2011 at the mean distance; the distance from michalsky1988.
    """
    g = _mean_anomaly_rad(unix_s)
    distance = 1.00014 - 0.01671 * np.cos(g) - 0.00014 * np.cos(2 * g)
    return SOLAR_CONSTANT_W_M2 / distance**2


def extraterrestrial_w_m2(*, unix_s: Num, elevation_deg: Num) -> Num:
    """Return the sunlight above the air on flat ground; nil at night.

    Shape: arguments broadcast together.
    Unit: seconds since 1970 in UTC; the sun's elevation at that moment.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: 1950 to 2050.
    Source: geometry.
    """
    upright = np.maximum(np.sin(np.radians(elevation_deg)), 0)
    return extraterrestrial_normal_w_m2(unix_s) * upright


def declination_rad(day_of_year_n: Num) -> Num:
    """Return how far north of the equator the sun stands, day by day.

    Shape: any; the answer has the shape of the argument.
    Unit: 1 January is day 1.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: daily sums; 0.4 degrees off in the mean, 1.3 in mid October,
      when it makes a day at 45.7 degrees nine minutes too short.
    Source: fao56, eq. 24.
    """
    return 0.409 * np.sin(2 * np.pi / 365 * day_of_year_n - 1.39)


def inverse_distance_ratio(day_of_year_n: Num) -> Num:
    """Return the sun's strength against the year's mean, by its distance.

    Shape: any; the answer has the shape of the argument.
    Unit: 1 January is day 1; the answer is a ratio.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: daily sums.
    Source: fao56, eq. 23.
    """
    return 1 + 0.033 * np.cos(2 * np.pi / 365 * day_of_year_n)


def sunset_angle_rad(
    *, latitude_deg: Num, declination_rad: Num, horizon_deg: float = 0.0
) -> Num:
    """Return how far the Earth turns from noon until the sun is gone.

    The horizon decides: 0 is the plain geometry of the book's daily sums,
    SUNRISE_HORIZON_DEG is what an almanac calls sunset. Nil where the sun
    stays down all day, pi where it stays up.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: all latitudes.
    Source: fao56, eq. 25; with another horizon, geometry.
    """
    latitude, horizon = np.radians(latitude_deg), np.radians(horizon_deg)
    over_pole = np.sin(latitude) * np.sin(declination_rad)
    out = np.cos(latitude) * np.cos(declination_rad)
    return np.arccos(np.clip((np.sin(horizon) - over_pole) / out, -1, 1))


def daylight_h(sunset_angle_rad: Num) -> Num:
    """Return the hours from sunrise to sunset.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: the horizon that the angle was made for.
    Source: fao56, eq. 34.
    """
    return 24 / np.pi * sunset_angle_rad


def extraterrestrial_mj_m2_d(*, latitude_deg: Num, day_of_year_n: Num) -> Num:
    """Return a day's sun above the air, on flat ground.

    Shape: arguments broadcast together.
    Unit: 1 January is day 1.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: all latitudes; nil in the polar night.
    Source: fao56, eq. 21.
    """
    return _shine_mj_m2(latitude_deg, day_of_year_n, -np.pi, np.pi)


def extraterrestrial_mj_m2_h(
    *, unix_s: Num, latitude_deg: Num, longitude_deg: Num
) -> Num:
    """Return one hour's sun above the air, on flat ground.

    Shape: arguments broadcast together.
    Unit: the hour begins at these seconds since 1970 in UTC; longitude
      counts eastward.
    Errors: a gap (NaN) in the seconds is refused by NumPy; others pass.
    Holds for: all latitudes.
    Source: fao56, eq. 28 to 33.
    Departs: an hour in which the sun rises or sets counts its lit part, so
      that the hours of a day add up to the day.
    """
    local_s = unix_s + 240 * longitude_deg
    day_of_year_n = _day_of_year_n(local_s)
    b = 2 * np.pi * (day_of_year_n - 81) / 364
    season_h = 0.1645 * np.sin(2 * b) - 0.1255 * np.cos(b) - 0.025 * np.sin(b)
    start = np.pi / 12 * (local_s % DAY_S / HOUR_S + season_h - 12)
    return _shine_mj_m2(latitude_deg, day_of_year_n, start, start + np.pi / 12)


def _day_of_year_n(local_s: Num) -> Num:
    day = np.floor_divide(local_s, DAY_S).astype("int64").astype("datetime64[D]")
    return (day - day.astype("datetime64[Y]")).astype("float64") + 1


def _shine_mj_m2(latitude_deg: Num, day_of_year_n: Num, start: Num, end: Num) -> Num:
    """Return the sun above the air between two hour angles."""
    latitude, declination = np.radians(latitude_deg), declination_rad(day_of_year_n)
    sunset = sunset_angle_rad(latitude_deg=latitude_deg, declination_rad=declination)

    def lit(angle: Num) -> tuple[Num, Num]:
        """Return the lit turn, and its sine, since a noon long ago."""
        days = np.round(angle / (2 * np.pi))
        today = np.clip(angle - 2 * np.pi * days, -sunset, sunset)
        return today + 2 * sunset * days, np.sin(today) + 2 * np.sin(sunset) * days

    (turn_end, sine_end), (turn_start, sine_start) = lit(end), lit(start)
    over_pole = (turn_end - turn_start) * np.sin(latitude) * np.sin(declination)
    out = (sine_end - sine_start) * np.cos(latitude) * np.cos(declination)
    minutes = 12 * 60 / np.pi  # to a radian
    return minutes * 0.0820 * inverse_distance_ratio(day_of_year_n) * (over_pole + out)


def clear_sky_transmission_frac(elevation_m: Num) -> Num:
    """Return the share of the sun above the air that a clear sky lets through.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: sums of a day; of an hour while the sun is well up. Height
      above the sea to 6000 m, air without smoke.
    Source: fao56, eq. 37.
    """
    return 0.75 + 2e-5 * elevation_m


def shortwave_from_sunshine_mj_m2_d(
    *, sunshine_h: Num, daylight_h: Num, extraterrestrial_mj_m2_d: Num
) -> Num:
    """Return a day's sun on the ground, from the hours of sunshine.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: places without fitted coefficients of their own; a quarter
      comes through a closed sky, three quarters through a clear one.
    Source: fao56, eq. 35.
    """
    return (0.25 + 0.5 * sunshine_h / daylight_h) * extraterrestrial_mj_m2_d


def shortwave_from_range_mj_m2_d(
    *,
    day_high_c: Num,
    night_low_c: Num,
    extraterrestrial_mj_m2_d: Num,
    coastal: bool | NDArray[np.bool_] = False,
) -> Num:
    """Return a day's sun on the ground, from how far the day warms up.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: means of a week or longer, no small islands; on a coast the
      sea damps the range, hence another factor.
    Source: fao56, eq. 50.
    """
    per_root = np.where(coastal, 0.19, 0.16)[()]
    return per_root * np.sqrt(day_high_c - night_low_c) * extraterrestrial_mj_m2_d


def diffuse_frac(clearness_frac: Num) -> Num:
    """Return the share of the sunlight that comes from the whole sky.

    Shape: any; the answer has the shape of the argument.
    Unit: clearness is sunlight on the ground over sunlight above the air.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: hours; scatter of about 0.1 from one hour to the next.
    Source: erbs1982, eq. 1.
    """
    k = clearness_frac
    middle = 0.9511 - 0.1604 * k + 4.388 * k**2 - 16.638 * k**3 + 12.336 * k**4
    bright = np.where(k > _BRIGHT_FRAC, 0.165, middle)
    return np.where(k <= _DULL_FRAC, 1 - 0.09 * k, bright)[()]


def beam_and_sky(
    *, shortwave_w_m2: Num, extraterrestrial_normal_w_m2: Num, elevation_deg: Num
) -> BeamAndSky:
    """Return sunlight on the ground, parted into beam and sky.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: hours; beam and sky together give the light that came in.
    Source: erbs1982, eq. 1.
    Departs: with the sun under LOWEST_BEAM_DEG all light is the sky's.
    """
    upright = np.sin(np.radians(np.maximum(elevation_deg, LOWEST_BEAM_DEG)))
    clearness = shortwave_w_m2 / (extraterrestrial_normal_w_m2 * upright)
    share = np.where(elevation_deg < LOWEST_BEAM_DEG, 1, diffuse_frac(clearness))[()]
    diffuse = share * shortwave_w_m2
    beam = (shortwave_w_m2 - diffuse) / upright
    return BeamAndSky(beam_normal_w_m2=beam, diffuse_w_m2=diffuse)


def cloud_transmission_frac(cloud_frac: Num) -> Num:
    """Return the share of a clear sky's sun that comes through this cloud.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: hours, fitted at Hamburg; thin high cloud lets more through.
    Source: kasten1980; the equation from memory.
    """
    return 1 - 0.75 * cloud_frac**3.4


def cloud_frac(relative_shortwave_frac: Num) -> Num:
    """Return the cloud that lets this share of a clear sky's sun through.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: hours with the sun up. A quarter of the clear sky's sun, and
      anything less, is a closed sky.
    Source: kasten1980, turned about; the equation from memory.
    """
    missing = np.clip(1 - relative_shortwave_frac, 0, 0.75)
    return (missing / 0.75) ** (1 / 3.4)
