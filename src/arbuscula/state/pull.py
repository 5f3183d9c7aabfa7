"""Pull: what each bench asks of each kind of tree on it, hour by hour."""

from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.leaf import Crown, CrownAir
from arbuscula.kinds.library import Library
from arbuscula.kinds.place import Bench
from arbuscula.kinds.species import Species
from arbuscula.kinds.weather import Spot, WeatherRows
from arbuscula.microclimate.alike import as_met
from arbuscula.microclimate.felt import Outside, outside_of
from arbuscula.microclimate.shelter import crown_air, felt_on_bench, rows_felt
from arbuscula.science.light import sun_light_mol_m2_d
from arbuscula.science.water.crown import crown_of_leaf_area
from arbuscula.science.water.demand import crown_demand_ml_h, open_surface_demand_mm_h
from arbuscula.state.ensemble import drawn_stomata, middle_optics
from arbuscula.state.pots import LEAF_PATH_RATIO
from arbuscula.state.trees import MEMBERS_N, Pull
from arbuscula.units import DAY_H, HOUR_S, mj_m2_d_from_w_m2

MEMORY_H: Final = 30 * DAY_H
EVENING_H: Final = DAY_H  # a night keeps the cloud of the evening before


def pull_of(
    rows: WeatherRows,
    spot: Spot,
    benches: Mapping[str, Bench],
    pairs: Iterable[tuple[str, str]],
    library: Library,
    *,
    from_h: int | None = None,
) -> Pull:
    """Return what hourly weather asks on these benches of these species.

    Rows may have members first; then each member of the trees has one of them.
    Hours before `from_h` are left out, but leaves remember their light. Crowns
    of one shape ask alike for each square metre of leaf.
    """
    by_member = members_of_rows(rows)
    first_h = round(float(rows.from_s[0]) / HOUR_S)
    skipped_n = 0 if from_h is None else max(from_h - first_h - EVENING_H, 0)
    known = [pair for pair in sorted(set(pairs)) if pair[0] in benches]
    met = as_met(benches, {bench for bench, _ in known})
    column = {p: n for n, p in enumerate(dict.fromkeys((met[b], s) for b, s in known))}
    outside = outside_of(by_member, spot)
    later = outside_of(hours_after(by_member, skipped_n), spot)
    on = {b: _on_bench(outside, later, b, library) for b in set(met.values())}
    each = [_pair(*on[b], library.species[s], library) for b, s in column]
    hours_n = rows.from_s.size - skipped_n
    return Pull(
        first_h=first_h + skipped_n,
        leaf_ml_m2=_hours_first([leaf for leaf, _, _ in each], hours_n),
        surface_mm=_hours_first([surface for _, surface, _ in each], hours_n),
        rain_mm=_hours_first([rain for _, _, rain in each], hours_n),
        pairs={(b, s): column[met[b], s] for b, s in known},
    )


def _hours_first(each: list[NDArray[np.float64]], hours_n: int) -> NDArray[np.float64]:
    """Return arrays of members by hours as one of hours, members, pairs."""
    if not each:
        return np.zeros((hours_n, 1, 1))
    members_n = max(part.shape[0] for part in each)
    alike = [np.broadcast_to(p, (members_n, p.shape[1])) for p in each]
    return np.ascontiguousarray(np.stack(alike, axis=-1).transpose(1, 0, 2))


def members_of_rows(rows: WeatherRows) -> WeatherRows:
    """Return rows with members first: one for all, or one for each of the trees'."""
    parts = {f.name: np.atleast_2d(getattr(rows, f.name)) for f in fields(rows)}
    times = {"from_s": rows.from_s, "until_s": rows.until_s}
    weather_n = max(part.shape[0] for part in parts.values())
    if weather_n > 1:
        member = np.arange(MEMBERS_N) % weather_n
        parts = {n: p if p.shape[0] == 1 else p[member] for n, p in parts.items()}
    return WeatherRows(**parts | times)


def _on_bench(
    outside: Outside, later: Outside, bench: Bench, library: Library
) -> tuple[CrownAir, NDArray[np.float64]]:
    """Return air and rain at a bench in later hours, out of all those outside."""
    shelter, ball = library.shelters[bench.exposure], library.demand.ball
    on_bench = rows_felt(outside, bench, shelter)
    light_mol_m2_d = remembered_light_mol_m2_d(on_bench)
    skipped_n = outside.rows.from_s.size - later.rows.from_s.size
    air = replace(
        crown_air(felt_on_bench(later, bench, shelter), later, ball),
        daily_light_mol_m2_d=light_mol_m2_d[..., skipped_n:],
    )
    return air, np.atleast_2d(on_bench.rain_mm)[:, skipped_n:]


def _pair(
    air: CrownAir, rain_mm: NDArray[np.float64], species: Species, library: Library
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return what one bench asks of one species: for a square metre of leaf."""
    crown, optics = _one_m2(species), middle_optics(library.demand.optics)
    stomata = drawn_stomata(
        species.stomata, "leaf of", species.latin, members_n=MEMBERS_N
    )
    leaf_ml = np.asarray(crown_demand_ml_h(crown, stomata, optics, air))
    surface_mm = np.atleast_2d(open_surface_demand_mm_h(crown, optics, air))
    return leaf_ml, surface_mm, rain_mm


def hours_after(rows: WeatherRows, skipped_n: int) -> WeatherRows:
    """Return rows without their first hours."""
    names = [f.name for f in fields(rows)]
    return WeatherRows(**{n: getattr(rows, n)[..., skipped_n:] for n in names})


def remembered_light_mol_m2_d(rows: WeatherRows) -> NDArray[np.float64]:
    """Return the light of the last thirty days at each hour: what leaves know."""
    light = np.atleast_2d(rows.shortwave_w_m2)
    summed = np.concatenate([np.zeros((light.shape[0], 1)), np.cumsum(light, -1)], -1)
    hours_n = light.shape[-1]
    until = np.maximum(np.arange(1, hours_n + 1), min(DAY_H, hours_n))
    since = np.maximum(until - MEMORY_H, 0)
    mean_w_m2 = (summed[:, until] - summed[:, since]) / (until - since)
    return np.asarray(sun_light_mol_m2_d(mj_m2_d_from_w_m2(mean_w_m2)))


def _one_m2(species: Species) -> Crown:
    width_m = LEAF_PATH_RATIO * species.thirst.leaf_width_mm.value / 1000
    return crown_of_leaf_area(1.0, width_m)
