"""Retention: how firmly a substrate, or a mix of them, holds its water.

Suction is in centimetres of water, 1 cm = 0.98 hPa.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Final

import numpy as np

from arbuscula.kinds.substrate import Curve, Mix, MixPart, Pores, PoreShares, Substrate
from arbuscula.kinds.values import Grade, Num, Value

# 4 sigma / (rho g) of water at 20 degC: 0.0728 N/m, 998.2 kg/m3, 9.80665 m/s2
JURIN_CM2: Final = 4 * 0.0728 / (998.2 * 9.80665) * 1e4

# Gap over grain of uniform sands, so that entry times grain is 6.5 cm mm.
GAP_RATIO: Final = 0.457

# Curves of mixes miss by about five points: willaredt2023, size assumed.
MIXING_ERROR_FRAC: Final = 0.05

# A range from one in twenty below to one in twenty above, in standard errors.
RANGE_IN_ERRORS: Final = 3.29

# Suctions between which a curve is inverted, as powers of ten.
LEAST_LOG10_CM: Final = -3.0
MOST_LOG10_CM: Final = 7.0


def water_frac(curve: Curve, suction_cm: Num) -> Num:
    """Return what a medium still holds, as a share of its volume.

    Families of pores add up, each by van Genuchten with m = 1 - 1/n. Below
    the water table (suction under 0) everything is full.

    Shape: any; the answer has the shape of the suction.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: drying; wetting again, a medium holds 10 to 20 % less.
    Source: vangenuchten1980, eq. 3; durner1994, eq. 6, for several families.
    """
    h = np.maximum(suction_cm, 0.0)
    held = [pores.volume_frac * _full_frac(pores, h) for pores in curve.parts]
    return sum(held, start=curve.residual_frac)


def _full_frac(pores: Pores, suction_cm: Num) -> Num:
    a, n = pores.alpha_per_cm, pores.shape_n
    return (1 + (a * suction_cm) ** n) ** (1 / n - 1)


def saturated_frac(curve: Curve) -> float:
    """Return the water of a medium whose pores are all full.

    Errors: none raised.
    Holds for: any curve; pores that water cannot reach are not in it.
    Source: mass.
    """
    return curve.residual_frac + sum(pores.volume_frac for pores in curve.parts)


def suction_holding_cm(curve: Curve, held_frac: Num) -> Num:
    """Return the suction at which a medium holds this much.

    Found by halving, as a curve of several families has no closed form.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out. Full or more answers
        0; what stays for good answers 10,000,000 cm.
    Holds for: curves that fall, as all of ours do.
    Source: vangenuchten1980, eq. 3, turned round.
    """
    wanted = np.asarray(held_frac, dtype=float)
    low = LEAST_LOG10_CM + 0 * wanted  # a gap stays one
    high = MOST_LOG10_CM + 0 * wanted
    for _ in range(50):
        middle = (low + high) / 2
        wetter = water_frac(curve, 10**middle) > wanted
        low, high = np.where(wetter, middle, low), np.where(wetter, high, middle)
    return np.where(wanted >= saturated_frac(curve), 0.0, 10**high)[()]


def substrate_curve(substrate: Substrate, *, grain_mm: float | None = None) -> Curve:
    """Return the curve of one material, at another grain if asked.

    The gaps between grains widen as the grains do; the pores inside stay.

    Errors: none raised.
    Holds for: grains sieved to one size; fines among them fill the gaps.
    Source: arbuscula for the scaling, after schroth1996; durner1994.
    """
    s = substrate
    pores_frac = s.saturated_frac.value - s.residual_frac.value
    outer_frac = pores_frac * (
        s.between_share_frac.value if s.between_share_frac else 1
    )
    outer = Pores(
        volume_frac=outer_frac,
        alpha_per_cm=s.alpha_per_cm.value * _grain_ratio(s, grain_mm),
        shape_n=s.shape_n.value,
    )
    if s.inner_alpha_per_cm is None or s.inner_n is None:
        return Curve(residual_frac=s.residual_frac.value, parts=(outer,))
    inner = Pores(
        volume_frac=pores_frac - outer_frac,
        alpha_per_cm=s.inner_alpha_per_cm.value,
        shape_n=s.inner_n.value,
    )
    return Curve(residual_frac=s.residual_frac.value, parts=(outer, inner))


def _grain_ratio(substrate: Substrate, grain_mm: float | None) -> float:
    if grain_mm is None or not substrate.scales_with_grain:
        return 1.0
    return grain_mm / substrate.grain_mm.value


def mix_curve(mix: Mix, substrates: Mapping[str, Substrate]) -> Curve:
    """Return the curve of a mix: its parts' curves, added by volume.

    Errors: none raised for a mix of substrates that are known.
    Holds for: parts of like pore size; the further apart, the worse it gets,
        and fine grains in the gaps of coarse ones are not seen. See
        mix_error_frac: one weighing after draining is better.
    Source: willaredt2023, the compositional model.
    """
    curves = [
        (frac, substrate_curve(substrates[key], grain_mm=grain_mm))
        for key, frac, grain_mm in _shares(mix)
    ]
    return Curve(
        residual_frac=sum(frac * curve.residual_frac for frac, curve in curves),
        parts=tuple(
            _thinned(pores, frac) for frac, curve in curves for pores in curve.parts
        ),
    )


def _thinned(pores: Pores, frac: float) -> Pores:
    return Pores(
        volume_frac=frac * pores.volume_frac,
        alpha_per_cm=pores.alpha_per_cm,
        shape_n=pores.shape_n,
    )


def _shares(mix: Mix) -> Iterator[tuple[str, float, float | None]]:
    """Yield the key, the share of the whole, the grain of each part there is."""
    parts = {key: _part(found) for key, found in mix.items()}
    whole = sum(part.share for part in parts.values())
    for key, part in parts.items():
        if part.share > 0:
            yield key, part.share / whole, part.grain_mm


def _part(found: MixPart | float) -> MixPart:
    return found if isinstance(found, MixPart) else MixPart(share=found)


def mix_shares_frac(mix: Mix) -> dict[str, float]:
    """Return each part's share of the whole, by the key of its substrate.

    Errors: none raised for a mix of at least one part.
    Holds for: shares on any scale; a part of which there is none is left out.
    Source: mass.
    """
    return {key: frac for key, frac, _ in _shares(mix)}


def mix_error_frac(mix: Mix, substrates: Mapping[str, Substrate]) -> float:
    """Return the standard error of a mix's water content, at any suction.

    More than one part: MIXING_ERROR_FRAC, whatever the parts. One part: as far
    as its pore volume is known.

    Errors: none raised for a mix of substrates that are known.
    Holds for: until the drained pot has been weighed.
    Source: arbuscula; gabriel2009 and willaredt2023 say why, not how much.
    """
    parts = mix_shares_frac(mix)
    if len(parts) > 1:
        return MIXING_ERROR_FRAC
    (pores,) = (substrates[key].saturated_frac for key in parts)
    return (pores.high - pores.low) / RANGE_IN_ERRORS


def mix_grade(mix: Mix, substrates: Mapping[str, Substrate]) -> Grade:
    """Return how far the curve of a mix may be trusted: as its weakest number.

    Errors: none raised for a mix of substrates that are known.
    Holds for: any mix; adding curves up is itself an assumption.
    Source: arbuscula.
    """
    order, parts = list(Grade), mix_shares_frac(mix)
    grades = [v.grade for key in parts for v in _curve_values(substrates[key])]
    mixing = [Grade.ASSUMED] if len(parts) > 1 else []
    return max(grades + mixing, key=order.index)


def _curve_values(substrate: Substrate) -> list[Value]:
    s = substrate
    inner = (s.between_share_frac, s.inner_alpha_per_cm, s.inner_n)
    outer = (s.saturated_frac, s.residual_frac, s.alpha_per_cm, s.shape_n)
    return [value for value in (*outer, *inner) if value is not None]


def mix_density_g_cm3(mix: Mix, substrates: Mapping[str, Substrate]) -> float:
    """Return the dry bulk density of a mix.

    Errors: none raised for a mix of substrates that are known.
    Holds for: any mix; of all its figures the one that adding up gets right.
    Source: gabriel2009; mass.
    """
    return _mean(mix, substrates, lambda s: s.bulk_density_g_cm3)


def mix_stage_1_mm(mix: Mix, substrates: Mapping[str, Substrate]) -> float:
    """Return what the bare surface of a mix gives freely before it dries.

    Errors: none raised for a mix of substrates that are known.
    Holds for: mixed well; a top dressing is a material of its own.
    Source: arbuscula, after lehmann2008.
    """
    return _mean(mix, substrates, lambda s: s.stage_1_mm)


def mix_shed_frac(mix: Mix, substrates: Mapping[str, Substrate]) -> float:
    """Return the share of the can that a bone-dry ball of this mix sheds.

    Errors: none raised for a mix of substrates that are known.
    Holds for: a quick watering; a soak from below wets it all.
    Source: arbuscula.
    """
    return _mean(mix, substrates, lambda s: s.shed_frac)


def mix_shed_below_frac(mix: Mix, substrates: Mapping[str, Substrate]) -> float:
    """Return the share of its capacity below which a ball of this mix sheds.

    The parts that shed decide it, each by how much it sheds.

    Errors: none raised for a mix of substrates that are known.
    Holds for: any mix; 0 where nothing sheds.
    Source: arbuscula.
    """
    shares = mix_shares_frac(mix)
    shed = {key: frac * substrates[key].shed_frac.value for key, frac in shares.items()}
    lines = (shed[key] * substrates[key].shed_below_frac.value for key in shed)
    return sum(lines) / (sum(shed.values()) or 1.0)


def _mean(
    mix: Mix, substrates: Mapping[str, Substrate], trait: Callable[[Substrate], Value]
) -> float:
    shares = mix_shares_frac(mix)
    return sum(frac * trait(substrates[key]).value for key, frac in shares.items())


def pore_shares(curve: Curve) -> PoreShares:
    """Return a medium's volume by how firmly it holds water.

    Definitions only. No range of them is good or bad: plants have grown best
    in media outside every range that was ever called ideal.

    Errors: none raised.
    Holds for: a thin layer at one suction; a pot's air depends on its depth.
    Source: deboodt1972, definitions; 10 hPa is taken as 10 cm.
    Departs: no ranges; londra2018 says why.
    """
    full = saturated_frac(curve)
    at_10, at_50, at_100 = (float(water_frac(curve, h)) for h in (10.0, 50.0, 100.0))
    return PoreShares(
        total_frac=full,
        air_frac=full - at_10,
        easy_frac=at_10 - at_50,
        buffer_frac=at_50 - at_100,
        tight_frac=at_100,
    )


def peat_curve(
    *, bulk_density_g_cm3: float, organic_frac: float, depth_cm: float
) -> Curve:
    """Return the curve of a peat from its weight and its organic matter.

    Low confidence: alpha falls by a tenth for each point of organic matter.

    Errors: none raised.
    Holds for: sphagnum peat of at most 0.2 g/cm3; organic matter by weight.
    Source: liu2019, table 4; seen quoted, the attribution is from memory.
    """
    rho, organic, z = bulk_density_g_cm3, 100 * organic_frac, depth_cm
    pores = Pores(
        volume_frac=0.950 - 0.437 * rho,
        alpha_per_cm=10 ** (4.497 - 7.493 * rho - 0.046 * organic - 0.021 * z),
        shape_n=10 ** (0.182 - 0.714 * rho),
    )
    return Curve(residual_frac=0.0, parts=(pores,))


def capillary_rise_cm(gap_mm: Num) -> Num:
    """Return how high water stands in a round gap of this width.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised.
    Holds for: clean, wettable walls, at 20 degC.
    Source: jurin; h = 4 sigma / (rho g d).
    """
    return JURIN_CM2 / (gap_mm / 10)


def air_entry_cm(grain_mm: Num) -> Num:
    """Return the suction at which the gaps between uniform grains empty.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised.
    Holds for: grains of one size, sieved; fines raise it.
    Source: schroth1996, from memory: entry times grain is 6.0 to 7.0 cm mm.
    """
    return capillary_rise_cm(GAP_RATIO * grain_mm)


def water_frac_from_g(
    *, pot_and_all_g: Num, tare_g: Num, dry_g: Num, volume_ml: Num, tree_g: Num = 0.0
) -> Num:
    """Return the water content that a weighing tells.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: water of 1 g/mL; volume is that of the soil, dry_g its weight
        without water, tree_g the tree's with its roots.
    Source: mass.
    """
    return (pot_and_all_g - tare_g - dry_g - tree_g) / volume_ml
