"""Sense: whether the numbers of one entry can be true together."""

from collections.abc import Iterator
from itertools import pairwise

from arbuscula.kinds.said import Figure, Said
from arbuscula.kinds.species import Species
from arbuscula.kinds.stores import Fertiliser, Pest, WireMetal
from arbuscula.kinds.substrate import Substrate
from arbuscula.kinds.values import Value
from arbuscula.strict.quote import plain_number

INNER = ("between_share_frac", "inner_alpha_per_cm", "inner_n")
NONE_FRAC, ALL_FRAC = 0.0, 1.0
STEADY_N = 1.0  # a shape at or below it is no curve


def sense_faults(entry: object, name: str) -> Iterator[Said]:
    """Yield what cannot be, though each number by itself could."""
    match entry:
        case Species():
            yield from _species_faults(entry, name)
        case Substrate():
            yield from _substrate_faults(entry, name)
        case WireMetal():
            yield from _wire_faults(entry, name)
        case Fertiliser():
            yield from _feed_faults(entry, name)
        case Pest():
            yield from _pest_faults(entry, name)


def _species_faults(s: Species, name: str) -> Iterator[Said]:
    warmth, thirst, pores = s.warmth, s.thirst, s.stomata
    yield from _in_order(
        name,
        ("warmth.damage_below_c", warmth.damage_below_c),
        ("warmth.warn_below_c", warmth.warn_below_c),
    )
    yield from _in_order(
        name,
        ("thirst.late_below_frac", thirst.late_below_frac),
        ("thirst.due_below_frac", thirst.due_below_frac),
    )
    yield from _in_order(
        name,
        ("stomata.coldest_c", pores.coldest_c),
        ("stomata.best_c", pores.best_c),
        ("stomata.hottest_c", pores.hottest_c),
    )
    for key in ("stress_below_frac", "due_below_frac", "late_below_frac"):
        yield from _within(name, f"thirst.{key}", getattr(thirst, key))


def _substrate_faults(s: Substrate, name: str) -> Iterator[Said]:
    yield from _in_order(
        name, ("residual_frac", s.residual_frac), ("saturated_frac", s.saturated_frac)
    )
    for key in ("saturated_frac", "residual_frac", "shed_frac", "shed_below_frac"):
        yield from _within(name, key, getattr(s, key))
    for key in ("grain_mm", "bulk_density_g_cm3", "alpha_per_cm"):
        yield from _above(name, key, getattr(s, key), NONE_FRAC)
    yield from _above(name, "shape_n", s.shape_n, STEADY_N)
    told = [key for key in INNER if getattr(s, key) is not None]
    if told and len(told) < len(INNER):
        for key in (key for key in INNER if key not in told):
            yield Said("entry.inner", {"file": name, "key": key, "found": told[0]})
    if s.inner_n is not None:
        yield from _above(name, "inner_n", s.inner_n, STEADY_N)


def _wire_faults(wire: WireMetal, name: str) -> Iterator[Said]:
    yield from _in_order(
        name,
        ("soft_yield_mpa", wire.soft_yield_mpa),
        ("ultimate_mpa", wire.ultimate_mpa),
    )
    for key in ("density_g_cm3", "elastic_gpa", "wound_stress_mpa", "usual_ratio"):
        yield from _above(name, key, getattr(wire, key), NONE_FRAC)
    if not wire.gauges_mm or min(wire.gauges_mm) <= 0:
        found = ", ".join(map(plain_number, wire.gauges_mm)) or "-"
        yield _fault(name, "gauges_mm", found, "numbers above 0")


def _feed_faults(feed: Fertiliser, name: str) -> Iterator[Said]:
    parts = {
        key: part
        for key in ("nitrogen_frac", "phosphate_frac", "potash_frac", "lime_frac",
                    "magnesia_frac")
        if (part := getattr(feed, key)) is not None
    }  # fmt: skip
    for key, part in parts.items():
        yield from _within(name, key, part)
    whole = sum(part.value for part in parts.values())
    if whole > ALL_FRAC:
        key = " + ".join(parts)
        yield _fault(name, key, plain_number(whole), "1 in all, or less,")


def _pest_faults(pest: Pest, name: str) -> Iterator[Said]:
    if pest.least_c and pest.most_c:
        yield from _in_order(name, ("least_c", pest.least_c), ("most_c", pest.most_c))
    for n, one in enumerate(pest.sums, 1):
        yield from _above(name, f"sums.{n}.sum_c_d", one.sum_c_d, NONE_FRAC)
    for n, life in enumerate(pest.lives, 1):
        yield from _above(name, f"lives.{n}.life_d", life.life_d, NONE_FRAC)


def _in_order(name: str, *told: tuple[str, Value]) -> Iterator[Said]:
    """Yield each number that is not below the next one of its row."""
    for (key, low), (other, high) in pairwise(told):
        if low.value > high.value:
            allowed = f"{plain_number(high.value)} ({other}) or less"
            yield _fault(name, key, plain_number(low.value), allowed)


def _within(name: str, key: str, part: Value) -> Iterator[Said]:
    if not NONE_FRAC <= part.value <= ALL_FRAC:
        yield _fault(name, key, plain_number(part.value), "0 to 1")


def _above(name: str, key: str, part: Value, line: float) -> Iterator[Said]:
    if part.value <= line:
        allowed = f"a number above {plain_number(line)}"
        yield _fault(name, key, plain_number(part.value), allowed)


def _fault(name: str, key: str, found: str, allowed: str) -> Said:
    figures: dict[str, Figure] = {"file": name, "key": key}
    return Said("file.fault", figures | {"found": found, "allowed": allowed})
