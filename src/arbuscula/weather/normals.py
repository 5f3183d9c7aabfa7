"""Normals: what the years are usually like, for any place on land."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

import numpy as np

from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.values import Num
from arbuscula.kinds.world import (
    Curve,
    ErrorFigures,
    Fit,
    Normals,
    NormalsError,
)
from arbuscula.science.air import saturation_vapour_pressure_kpa
from arbuscula.science.sun import extraterrestrial_mj_m2_d
from arbuscula.weather.grid import cells_around, mixed_cells
from arbuscula.weather.world import World
from arbuscula.weather.year import (
    DAYS_OF_YEAR_N,
    MONTH_OF_DAY,
    USUAL_MONTH_DAYS_N,
    bounded_year,
    month_means,
    smooth_year,
)

LEAST_VAPOUR_KPA: Final = 0.002  # that of air at -50 degC
LEAST_HUMIDITY_FRAC: Final = 0.05
LEAST_WET_FRAC: Final = 1e-4
MOST_WET_FRAC: Final = 0.95
LEAST_WET_DAY_MM: Final = 1.3  # a wet day brings more than the millimetre it needs
CLEARNESS_FRAC: Final = (0.05, 0.8)
FAR_K: Final = 12.0  # a local figure further off is a slip, not a climate

MONTHS: Final = np.arange(1, 13)


def normals_at(
    world: World,
    *,
    latitude_deg: Num,
    longitude_deg: Num,
    elevation_m: Num | None = None,
) -> Normals:
    """Return the monthly normals of one place, or of many at once.

    Shape: arguments broadcast together; months are one axis more, the last.
    Errors: open sea and the ice of the poles are refused, place by place.
    """
    where = np.broadcast_arrays(
        np.asarray(latitude_deg, np.float64), np.asarray(longitude_deg, np.float64)
    )
    latitude, longitude = where[0].ravel(), where[1].ravel()
    cells = cells_around(world.grid, latitude, longitude)
    if not cells.known.all():
        lost = ~cells.known
        raise ArbusculaError(*_at_sea(latitude[lost], longitude[lost]))
    ground_m, fields = mixed_cells(world.grid, cells)
    ground_m = ground_m.reshape(where[0].shape)
    fields = {key: f.reshape(*where[0].shape, 12) for key, f in fields.items()}
    height_m = ground_m if elevation_m is None else np.asarray(elevation_m, np.float64)
    lapse_k = world.figures.normals.lapse_k_km.value * (ground_m - height_m) / 1000
    fields["night_min_c"] = fields["night_min_c"] + lapse_k[..., None]
    return _from_fields(fields, where[0][()], height_m[()], world)


def _at_sea(latitude_deg: Curve, longitude_deg: Curve) -> list[Said]:
    return [
        Said("place.at_sea", {"latitude_deg": float(a), "longitude_deg": float(b)})
        for a, b in zip(latitude_deg, longitude_deg, strict=True)
    ]


def _from_fields(
    fields: Mapping[str, Curve], latitude_deg: Num, elevation_m: Num, world: World
) -> Normals:
    """Return the normals that follow from the five fields of the table."""
    figures = world.figures.normals
    night_min_c, range_k = fields["night_min_c"], fields["range_k"]
    mean_c = night_min_c + figures.mean_over_min_frac.value * range_k
    dew_point_c = night_min_c - fields["dew_below_min_k"]
    rain_mm_d = fields["rain_root"] / USUAL_MONTH_DAYS_N
    above = month_means(_above_the_air(latitude_deg))
    return Normals(
        latitude_deg=latitude_deg,
        elevation_m=elevation_m,
        night_min_c=night_min_c,
        day_max_c=night_min_c + range_k,
        air_temperature_c=mean_c,
        night_min_sd_k=np.clip(
            _day_to_day_k(figures.night_min_sd_k_ln, mean_c), 1, 7.5
        ),
        day_max_sd_k=np.clip(_day_to_day_k(figures.day_max_sd_k_ln, mean_c), 1, 8),
        dew_point_c=dew_point_c,
        vapour_pressure_kpa=_vapour_kpa(dew_point_c),
        relative_humidity_frac=_humidity_frac(dew_point_c, mean_c),
        wind_speed_2m_m_s=np.full_like(mean_c, figures.wind_speed_2m_m_s.value),
        rain_mm_d=rain_mm_d,
        wet_frac=_wet_frac(figures.wet_day_mm_ln, rain_mm_d, mean_c),
        clearness_frac=fields["clearness_frac"],
        shortwave_mj_m2_d=fields["clearness_frac"] * above,
        error=_error_of(world.figures.error),
    )


def _above_the_air(latitude_deg: Num) -> Curve:
    """Return the daily light above the air through a year: (places, 365)."""
    latitude = np.asarray(latitude_deg)[..., None]
    return np.asarray(
        extraterrestrial_mj_m2_d(latitude_deg=latitude, day_of_year_n=DAYS_OF_YEAR_N)
    )


def _vapour_kpa(dew_point_c: Curve) -> Curve:
    return np.asarray(saturation_vapour_pressure_kpa(dew_point_c))


def _humidity_frac(dew_point_c: Curve, mean_c: Curve) -> Curve:
    humidity = _vapour_kpa(dew_point_c) / _vapour_kpa(mean_c)
    return np.clip(humidity, LEAST_HUMIDITY_FRAC, 1)


def _day_to_day_k(fit: Fit, mean_c: Curve) -> Curve:
    """Return how far days lie off the normal: warm and even places swing least."""
    constant, slope, bend, with_swing = fit.coefficients
    t = np.clip(mean_c, -15, 32) / 10
    swing = np.minimum(np.ptp(mean_c, axis=-1)[..., None] / 10, 3.2)
    return np.exp(constant + slope * t + bend * t**2 + with_swing * swing)


def _wet_frac(fit: Fit, rain_mm_d: Curve, mean_c: Curve) -> Curve:
    """Return the share of wet days, from the usual rain of one wet day."""
    constant, slope, with_warmth = fit.coefficients
    month_mm = np.maximum(rain_mm_d * USUAL_MONTH_DAYS_N, 1)
    warmth = with_warmth * np.clip(mean_c, 0, 28)
    wet_day_mm = np.exp(constant + slope * np.log(month_mm) + warmth)
    return np.minimum(rain_mm_d / np.maximum(wet_day_mm, LEAST_WET_DAY_MM), 0.9)


def _error_of(figures: ErrorFigures) -> NormalsError:
    return NormalsError(
        night_min_k=figures.night_min_k.value,
        day_max_k=figures.day_max_k.value,
        air_temperature_k=figures.air_temperature_k.value,
        relative_humidity_frac=figures.relative_humidity_frac.value,
        rain_ln=figures.rain_ln.value,
        shortwave_mj_m2_d=figures.shortwave_mj_m2_d.value,
    )


def corrected(
    normals: Normals,
    world: World,
    *,
    night_min_c: Mapping[int, float],
    day_max_c: Mapping[int, float],
) -> Normals:
    """Return one place's monthly normals, moved to what is known there by month.

    One month moves the whole year by as much; several move each month by what
    lies between them. Nights say nothing of days: over 30 stations the errors of
    the two were unrelated. Dew follows the nights.

    Errors: a figure more than FAR_K from the table is refused.
    """
    night_k = _moved_k(normals.night_min_c, night_min_c, "night_min_c")
    day_k = _moved_k(normals.day_max_c, day_max_c, "day_max_c")
    night, day = normals.night_min_c + night_k, normals.day_max_c + day_k
    mean = night + world.figures.normals.mean_over_min_frac.value * (day - night)
    dew = normals.dew_point_c + night_k
    return replace(
        normals,
        night_min_c=night,
        day_max_c=np.maximum(day, night + 1),
        air_temperature_c=mean,
        dew_point_c=dew,
        vapour_pressure_kpa=_vapour_kpa(dew),
        relative_humidity_frac=_humidity_frac(dew, mean),
        error=_error_once_known(normals.error, world.figures.error, night_min_c),
    )


def _moved_k(usual_c: Curve, known_c: Mapping[int, float], quantity: str) -> Curve:
    """Return by how much each month is moved."""
    if not known_c:
        return np.zeros(12)
    off_k = {month: known_c[month] - usual_c[month - 1] for month in sorted(known_c)}
    faults = [
        _far(quantity, month, known_c[month], float(usual_c[month - 1]))
        for month in off_k
        if abs(off_k[month]) > FAR_K
    ]
    if faults:
        raise ArbusculaError(*faults)
    return np.interp(MONTHS, list(off_k), list(off_k.values()), period=12)


def _far(quantity: str, month: int, found_c: float, usual_c: float) -> Said:
    figures: dict[str, Figure] = {
        "quantity": quantity,
        "month": f"{month}",
        "found_c": found_c,
        "usual_c": usual_c,
    }
    return Said("normals.far", figures)


def _error_once_known(
    error: NormalsError, figures: ErrorFigures, night_min_c: Mapping[int, float]
) -> NormalsError:
    if not night_min_c:
        return error
    return replace(error, night_min_k=figures.corrected_night_min_k.value)


def by_day(normals: Normals) -> Normals:
    """Return monthly normals as smooth years of 365 days, monthly means kept."""
    wet_frac = bounded_year(normals.wet_frac, LEAST_WET_FRAC, MOST_WET_FRAC)
    clearness = bounded_year(normals.clearness_frac, *CLEARNESS_FRAC)
    wet_day_mm = _wet_day_mm(normals.rain_mm_d, wet_frac)
    return Normals(
        latitude_deg=normals.latitude_deg,
        elevation_m=normals.elevation_m,
        night_min_c=smooth_year(normals.night_min_c),
        day_max_c=smooth_year(normals.day_max_c),
        air_temperature_c=smooth_year(normals.air_temperature_c),
        night_min_sd_k=smooth_year(normals.night_min_sd_k),
        day_max_sd_k=smooth_year(normals.day_max_sd_k),
        dew_point_c=smooth_year(normals.dew_point_c),
        vapour_pressure_kpa=np.maximum(
            smooth_year(normals.vapour_pressure_kpa), LEAST_VAPOUR_KPA
        ),
        relative_humidity_frac=np.clip(
            smooth_year(normals.relative_humidity_frac), LEAST_HUMIDITY_FRAC, 1
        ),
        wind_speed_2m_m_s=smooth_year(normals.wind_speed_2m_m_s),
        rain_mm_d=wet_frac * wet_day_mm[..., MONTH_OF_DAY],
        wet_frac=wet_frac,
        clearness_frac=clearness,
        shortwave_mj_m2_d=clearness * _above_the_air(normals.latitude_deg),
        error=normals.error,
    )


def _wet_day_mm(rain_mm_d: Curve, wet_frac: Curve) -> Curve:
    """Return the rain of a wet day by month, so that each month's rain is kept."""
    return np.maximum(rain_mm_d / month_means(wet_frac), 1)
