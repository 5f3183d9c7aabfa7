"""World: a place on Earth, and what its years are usually like."""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.values import Grade, Num, Value

Curve = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place on Earth, as the gazetteer or a grower names it."""

    name: str
    country: str  # two letters of ISO 3166; empty where no country is near
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    timezone: str  # a name of the IANA database


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The place that a text most likely means, and the others of that name."""

    place: Place
    others: tuple[Place, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NormalsError:
    """How far the normals themselves may be off: mean absolute errors."""

    night_min_k: float
    day_max_k: float
    air_temperature_k: float
    relative_humidity_frac: float
    rain_ln: float
    shortwave_mj_m2_d: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Normals:
    """What the weather of a place is usually like, through the year.

    The last axis is the year: 12 months, or 365 days. The axes before it
    are those of the places; one place has none. Numbers of a place alone
    have no year's axis.
    """

    latitude_deg: Num
    elevation_m: Num
    night_min_c: Curve
    day_max_c: Curve
    air_temperature_c: Curve  # the mean over day and night
    night_min_sd_k: Curve  # from day to day
    day_max_sd_k: Curve
    dew_point_c: Curve
    vapour_pressure_kpa: Curve
    relative_humidity_frac: Curve  # at the mean temperature
    wind_speed_2m_m_s: Curve
    rain_mm_d: Curve
    wet_frac: Curve  # share of days with 1 mm or more
    clearness_frac: Curve  # light on the ground over light above the air
    shortwave_mj_m2_d: Curve
    error: NormalsError


@dataclass(frozen=True, slots=True, kw_only=True)
class LastDay:
    """The last day that is known, from which generated weather goes on.

    One number, or one for each member.
    """

    night_min_c: Num
    day_max_c: Num
    rain_mm: Num


@dataclass(frozen=True, slots=True, kw_only=True)
class LastHour:
    """The last hour that is known; -1 is the hour before the first midnight."""

    hour_n: int
    air_temperature_c: Num


@dataclass(frozen=True, slots=True, kw_only=True)
class DailyWeather:
    """Possible weather, day by day: members first, days last, places between."""

    first: date
    night_min_c: Curve
    day_max_c: Curve
    rain_mm: Curve
    vapour_pressure_kpa: Curve
    wind_speed_2m_m_s: Curve
    shortwave_mj_m2_d: Curve


@dataclass(frozen=True, slots=True, kw_only=True)
class HourlyWeather:
    """Possible weather, hour by hour: members first, hours last."""

    first: date  # the first hour begins at its midnight
    air_temperature_c: Curve  # in the middle of the hour
    relative_humidity_frac: Curve
    wind_speed_2m_m_s: Curve
    rain_mm: Curve
    shortwave_w_m2: Curve


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """The coefficients of one regression, the constant first."""

    coefficients: tuple[float, ...]
    source: str
    grade: Grade


@dataclass(frozen=True, slots=True, kw_only=True)
class NormalsFigures:
    """What turns the table's cells into the normals of a place."""

    lapse_k_km: Value
    mean_over_min_frac: Value  # of the daily range
    wind_speed_2m_m_s: Value
    wet_day_mm_ln: Fit
    night_min_sd_k_ln: Fit
    day_max_sd_k_ln: Fit


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrorFigures:
    """How far the normals were off where somebody measured."""

    night_min_k: Value
    day_max_k: Value
    air_temperature_k: Value
    relative_humidity_frac: Value
    rain_ln: Value
    shortwave_mj_m2_d: Value
    corrected_night_min_k: Value  # once one local figure is known


@dataclass(frozen=True, slots=True, kw_only=True)
class GeneratorFigures:
    """How one day's weather hangs on the day before, and on itself."""

    lag_frac: Value  # of the departure from the normal, to the next day
    night_after_day_ratio: Value
    day_after_night_ratio: Value
    range_sd_ratio: Value
    wet_persistence_frac: Value
    wet_amount_shape_n: Value
    wet_night_warmer_frac: Value  # of the daily range
    wet_day_cooler_frac: Value
    clearness_least_frac: Value
    clearness_most_frac: Value
    clearness_spread_n: Value
    clearness_wet_over_dry_frac: Value
    clearness_with_range_frac: Value
    vapour_with_night_frac: Value
    vapour_noise_ln: Value
    wind_noise_ln: Value
    wind_lag_frac: Value
    rain_spell_h: Value
    joining_h: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """One of the sources that the tables and the generator rest on."""

    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorldFigures:
    """The numbers beside the tables of the world, each with its ground."""

    origins: tuple[Origin, ...]
    normals: NormalsFigures
    error: ErrorFigures
    generator: GeneratorFigures
