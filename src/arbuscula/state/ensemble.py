"""Ensemble: members, each one way in which what we do not know may be.

A draw hangs on the name of what is drawn and on the tree's own key, so that
adding a quantity, or replaying in two parts, changes no other draw.
"""

from collections.abc import Sequence
from dataclasses import fields
from functools import cache
from hashlib import sha256
from statistics import NormalDist
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.leaf import Optics, Stomata
from arbuscula.kinds.values import Num, Spread, Value
from arbuscula.kinds.weather import Row

Grid = NDArray[np.float64]  # members by something

MEMBERS_N: Final = 200
APART_K: Final = 2.0  # drawn ends of warmth keep at least so far from the best
GOLDEN: Final = np.uint64(0x9E3779B97F4A7C15)
ONE_IN_TWENTY_SD: Final = NormalDist().inv_cdf(0.95)
ONE_IN_TEN_SD: Final = NormalDist().inv_cdf(0.9)
TENTHS: Final = (0.1, 0.5, 0.9)

Traits = TypeVar("Traits", Stomata[Value], Optics[Value])


@cache
def _even_normals(members_n: int) -> Row:
    """Return a standard normal's middle values of as many equal parts."""
    normal = NormalDist()
    return np.array([normal.inv_cdf((i + 0.5) / members_n) for i in range(members_n)])


def generator_of(*key: str) -> np.random.Generator:
    """Return the generator that belongs to these words, now and for ever."""
    return np.random.default_rng(_seed_of("\x1f".join(key)))


def normals(*key: str, members_n: int = MEMBERS_N) -> Row:
    """Return one standard normal a member, evenly spread and shuffled by key."""
    return normals_of(["\x1f".join(key)], members_n=members_n)[:, 0]


def evenly(*key: str, members_n: int = MEMBERS_N) -> Row:
    """Return one number between 0 and 1 a member, evenly spread and shuffled."""
    return evenly_of(["\x1f".join(key)], members_n=members_n)[:, 0]


def normals_of(keys: Sequence[str], *, members_n: int) -> Grid:
    """Return standard normals, members by keys, each key evenly spread."""
    return _even_normals(members_n)[_shuffled(keys, members_n)]


def evenly_of(keys: Sequence[str], *, members_n: int) -> Grid:
    """Return numbers between 0 and 1, members by keys, each key evenly spread."""
    return (_shuffled(keys, members_n) + 0.5) / members_n


def _shuffled(keys: Sequence[str], members_n: int) -> NDArray[np.int64]:
    """Return the members' places in a shuffled row, for each key its own."""
    seeds = np.array([_seed_of(key) for key in keys], dtype=np.uint64)
    member = np.arange(1, members_n + 1, dtype=np.uint64)[:, np.newaxis]
    return np.argsort(_mixed(seeds + member * GOLDEN), axis=0)


def _seed_of(key: str) -> int:
    return int.from_bytes(sha256(key.encode()).digest()[:8], "big")


def _mixed(bits: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """Return bits well stirred: the last steps of SplitMix64 (steele2014)."""
    bits = (bits ^ (bits >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    bits = (bits ^ (bits >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return bits ^ (bits >> np.uint64(31))


def drawn(value: Value, normal: Num) -> Num:
    """Return a library value, once a member, as far off as its range allows.

    Its low and high are read as one in twenty below and one in twenty above;
    ratios where both are above nil, differences elsewhere.
    """
    steps = normal / ONE_IN_TWENTY_SD
    if value.low > 0:
        above, below = value.high / value.value, value.value / value.low
        return value.value * np.where(steps > 0, above, below) ** steps
    above, below = value.high - value.value, value.value - value.low
    far = value.value + np.where(steps > 0, above, below) * steps
    return np.clip(far, value.low, value.high)


def drawn_stomata(
    traits: Stomata[Value], *key: str, members_n: int = MEMBERS_N
) -> Stomata[Num]:
    """Return the leaf's answers, once a member, as columns.

    The reference conductance stays: a tree's own demand is learned beside it.
    """
    kept = traits.reference_conductance_mol_m2_s.value
    parts: dict[str, Num] = {
        f.name: drawn(
            getattr(traits, f.name),
            normals(*key, f.name, members_n=members_n)[:, np.newaxis],
        )
        for f in fields(traits)
    }
    apart_c = parts["coldest_c"] + APART_K, parts["hottest_c"] - APART_K
    parts["best_c"] = np.clip(parts["best_c"], *apart_c)
    return Stomata(**parts | {"reference_conductance_mol_m2_s": kept})


def middle_optics(traits: Optics[Value]) -> Optics[float]:
    """Return the optics as they most likely are."""
    return Optics(**{f.name: getattr(traits, f.name).value for f in fields(traits)})


def spread_of(members: Row) -> Spread:
    """Return what the members say of one number."""
    low, middle, high = np.quantile(members, TENTHS)
    return Spread(p10=float(low), p50=float(middle), p90=float(high))
