"""Glasshouse: the balance of heat and vapour under a cover, a square metre of floor."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from arbuscula.kinds.values import Num
from arbuscula.science.air import (
    psychrometric_constant_kpa_c,
    saturation_vapour_pressure_kpa,
)
from arbuscula.units import HOUR_S

AIR_HEAT_J_M3_K: Final = 1200.0  # at 20 degC by the sea
SMALL_K: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class House:
    """What a house's air hangs on, for each square metre of its floor."""

    loss_w_m2_k: Num  # through the cover
    leak_w_m2_k: float  # by air that comes and goes unasked
    vent_most_w_m2_k: float  # by all air, vents open or fans on
    store_w_m2_k: float  # into floor, benches and pots
    vent_at_c: float
    heat_to_c: float  # minus infinity: no heating


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseAir:
    """The air in a house, and where the heat goes."""

    air_temperature_c: Num
    exchange_w_m2_k: Num  # by moving air
    heating_w_m2: Num
    stored_w_m2: Num  # into the floor; below nil it gives back


def air_exchange_w_m2_k(*, changes_per_h: float, height_m: float) -> float:
    """Return the heat that changing air carries off, for each kelvin.

    Shape: single numbers.
    Errors: none raised.
    Holds for: air near 20 degC; water vapour's own heat is left out.
    Source: energy.
    """
    return changes_per_h * height_m * AIR_HEAT_J_M3_K / HOUR_S


def house_air(
    house: House, *, outside_c: Num, cover_sees_c: Num, gain_w_m2: Num, store_c: Num
) -> HouseAir:
    """Return a house's air where gains and losses are even.

    Vents open as far as they must to hold their set-point, then as far as they
    go; the heater, never too small, holds its own. The cover loses heat to the
    outside as the sky has cooled it, which is a little under the air.

    Shape: arguments broadcast together; members first, time last.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: hours; air well mixed. What a day stores must be given as its
      temperature: the mean of the last day's air is a good one.
    Source: energy.
    """
    gain = gain_w_m2 + house.store_w_m2_k * store_c + house.loss_w_m2_k * cover_sees_c
    fixed = house.loss_w_m2_k + house.store_w_m2_k
    over_k = np.maximum(house.vent_at_c - outside_c, SMALL_K)  # warm air: all open
    wanted = (gain - fixed * house.vent_at_c) / over_k
    exchange = np.clip(wanted, house.leak_w_m2_k, house.vent_most_w_m2_k)
    all_ways = fixed + exchange
    unheated_c = (gain + exchange * outside_c) / all_ways
    air_c = np.maximum(unheated_c, house.heat_to_c)
    return HouseAir(
        air_temperature_c=air_c,
        exchange_w_m2_k=exchange,
        heating_w_m2=(air_c - unheated_c) * all_ways,
        stored_w_m2=house.store_w_m2_k * (air_c - store_c),
    )


def house_vapour_kpa(
    *,
    outside_kpa: Num,
    outside_c: Num,
    air_temperature_c: Num,
    cover_c: Num,
    evaporated_w_m2: Num,
    exchange_w_m2_k: Num,
    air_pressure_kpa: Num,
) -> Num:
    """Return the vapour in a house's air, raised by what plants and floor give off.

    Air that is only warmed keeps its vapour. What is more than the cover's
    temperature can hold settles on it and runs off.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: hours; air well mixed. Never drier than outside but where the
      house is colder than that.
    Source: energy, and fao56, eq. 8 for the heat of vapour against that of air.
    """
    gamma = psychrometric_constant_kpa_c(air_pressure_kpa)
    given_off = outside_kpa + gamma * evaporated_w_m2 / exchange_w_m2_k
    most = saturation_vapour_pressure_kpa(np.maximum(cover_c, outside_c))
    held = np.maximum(np.minimum(given_off, most), outside_kpa)
    return np.minimum(held, saturation_vapour_pressure_kpa(air_temperature_c))
