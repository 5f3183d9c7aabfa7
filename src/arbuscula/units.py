"""Units: the suffixes that names may bear, and the conversions between them."""

from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

Amount = TypeVar("Amount", float, NDArray[np.float64])

SUFFIXES: Final = {
    "c": "degree Celsius",
    "c_d": "degree Celsius above a line, times days",
    "cm": "centimetre",
    "cm2": "square centimetre",
    "cm3": "cubic centimetre",
    "d": "day",
    "deg": "degree of arc",
    "exp": "exponent, a pure number",
    "fc": "foot-candle",
    "frac": "fraction, 0 to 1",
    "g": "gram",
    "g_cm3": "gram per cubic centimetre",
    "g_m2": "gram per square metre",
    "g_m2_h": "gram per square metre and hour",
    "g_mol": "gram per mole",
    "gpa": "gigapascal",
    "h": "hour",
    "j": "joule",
    "j_cm3_k": "joule per cubic centimetre and kelvin",
    "j_g": "joule per gram",
    "j_g_k": "joule per gram and kelvin",
    "j_k": "joule per kelvin",
    "j_m3_k": "joule per cubic metre and kelvin",
    "j_mol": "joule per mole",
    "j_mol_k": "joule per mole and kelvin",
    "k": "kelvin",
    "k_km": "kelvin per kilometre",
    "kg": "kilogram",
    "kpa": "kilopascal",
    "kpa_c": "kilopascal per degree Celsius",
    "l": "litre",
    "ln": "natural logarithm of a ratio",
    "lux": "lux",
    "m": "metre",
    "m2": "square metre",
    "m_s": "metre per second",
    "mg_l": "milligram per litre",
    "min": "minute",
    "mj_m2": "megajoule per square metre",
    "mj_m2_d": "megajoule per square metre and day",
    "mj_m2_h": "megajoule per square metre and hour",
    "ml": "millilitre",
    "ml_h": "millilitre per hour",
    "ml_mm": "millilitre per millimetre",
    "mm": "millimetre",
    "mm_d": "millimetre per day",
    "mm_h": "millimetre per hour",
    "mm_ml": "millimetre per millilitre",
    "mol_m2_d": "mole per square metre and day",
    "mol_m2_s": "mole per square metre and second",
    "mpa": "megapascal",
    "ms_cm": "millisiemens per centimetre",
    "n": "count, or a pure number",
    "per_c": "per degree Celsius",
    "per_cm": "per centimetre",
    "per_h": "per hour",
    "per_ml": "per millilitre",
    "rad": "radian",
    "ratio": "ratio of two like quantities",
    "s": "second",
    "s_m": "second per metre",
    "sqrt_kpa": "square root of kilopascal",
    "umol_j": "micromole per joule",
    "umol_lux_s_m2": "micromole per second and square metre, per lux",
    "umol_m2_s": "micromole per square metre and second",
    "w_k": "watt per kelvin",
    "w_m2": "watt per square metre",
    "w_m2_k": "watt per square metre and kelvin",
    "w_m_k": "watt per metre and kelvin",
    "y": "year",
}

HOUR_S: Final = 3600
DAY_S: Final = 86_400
DAY_H: Final = 24
W_M2_IN_MJ_M2_H: Final = 1 / 0.0036
DEG_IN_H: Final = 15  # of the sun around the earth
CM2_IN_M2: Final = 10_000
ZERO_C_IN_KELVIN: Final = 273.15
STANDARD_PRESSURE_KPA: Final = 101.325
STEFAN_BOLTZMANN_W_M2_K4: Final = 5.670374419e-8  # exact by definition of the SI, 2019
WATER_MOLAR_MASS_G_MOL: Final = 18.015


def unit_of(name: str) -> str | None:
    """Return the suffix a name bears, the longest that fits."""
    fitting = [s for s in SUFFIXES if name.endswith(f"_{s}")]
    return max(fitting, key=len, default=None)


def ml_from_mm_cm2(depth_mm: float, area_cm2: float) -> float:
    """Return the water in a layer of this depth over this area."""
    return depth_mm * area_cm2 / 10


def mj_m2_d_from_w_m2(mean_w_m2: Amount) -> Amount:
    """Return a day's energy at this mean power."""
    return mean_w_m2 * 0.0864


def mj_m2_h_from_w_m2(power_w_m2: Amount) -> Amount:
    """Return an hour's energy at this power."""
    return power_w_m2 * 0.0036


def fl_oz_from_ml(water_ml: float) -> float:
    """Return fluid ounces as the United States measure them."""
    return water_ml / 29.5735295625


def lux_from_fc(light_fc: float) -> float:
    """Return foot-candles as lux; there are as many square feet in a square metre."""
    return light_fc * 10.763910417


def fc_from_lux(light_lux: float) -> float:
    """Return lux as foot-candles."""
    return light_lux / 10.763910417


def oz_from_g(mass_g: float) -> float:
    """Return avoirdupois ounces."""
    return mass_g / 28.349523125


def us_qt_from_l(volume_l: float) -> float:
    """Return liquid quarts as the United States measure them."""
    return volume_l / 0.946352946


def inch_from_mm(length_mm: float) -> float:
    """Return international inches."""
    return length_mm / 25.4


def mph_from_m_s(speed_m_s: float) -> float:
    """Return international miles an hour."""
    return speed_m_s * 3600 / 1609.344


def f_from_c(temperature_c: float) -> float:
    """Return degrees Fahrenheit."""
    return temperature_c * 9 / 5 + 32
