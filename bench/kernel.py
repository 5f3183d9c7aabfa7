"""Is the kernel right, and how near does it come to what this machine can do?

    python -m bench.kernel

The bound: the operations of a dry hour of a glazed pot, counted by running the
kernel's own text on numbers that count, with as many products and sums as can be
taken as one; over the multiply-adds that the same compiler gets out of one core,
measured in the same run.
"""

from collections import Counter
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from numpy.lib.mixins import NDArrayOperatorsMixin

from arbuscula.kernel import lanes as text
from arbuscula.kernel import twins
from arbuscula.kernel.carrier import carrier_in, scratch_of, told_of
from arbuscula.kernel.kept import compiled_in
from arbuscula.kernel.text import compiled, widened
from arbuscula.kinds.water import Ball, PotWater
from arbuscula.science.water import balance
from arbuscula.science.water.lanes import Lanes, Skies, carried
from bench.timing import best_s

MEMBERS_N = 64
SKIES_N = 5
CHAINS_N = 8
ROUNDS_N = 40


def made_lanes(trees_n, *, seed=1):
    """Return so many pots of all kinds; some are unglazed, some stand nowhere."""
    rng = np.random.default_rng(seed)
    grid = (MEMBERS_N, trees_n)
    litres = rng.uniform(0.1, 5, trees_n)
    capacity_ml = 400 * litres * rng.uniform(0.7, 1.4, grid)
    ball = Ball(
        capacity_ml=capacity_ml,
        stop_ml=capacity_ml * rng.uniform(0.1, 0.5, grid),
        top_area_cm2=140 * litres ** (2 / 3),
        crown_area_cm2=rng.uniform(50, 2000, trees_n),
        gap_frac=rng.uniform(0.05, 0.9, trees_n),
        canopy_store_ml=rng.uniform(1, 80, trees_n),
        stage_1_mm=rng.uniform(1, 4, trees_n),
        stage_2_mm=rng.uniform(8, 20, trees_n),
        stress_below_frac=rng.uniform(0.2, 0.5, grid),
        shed_below_frac=rng.uniform(0.1, 0.3, trees_n),
        shed_frac=rng.uniform(0, 0.4, trees_n),
    )
    is_glazed = rng.uniform(0, 1, trees_n) < 0.7
    return Lanes(
        ball=ball,
        water=PotWater(
            water_ml=capacity_ml * rng.uniform(0.2, 1, grid),
            surface_depletion_mm=rng.uniform(0, 8, grid),
            canopy_ml=np.zeros(grid),
        ),
        leaf_m2=rng.uniform(0.02, 0.4, trees_n),
        cut_frac=rng.uniform(0, 0.3, trees_n),
        wall_cm2=rng.uniform(100, 800, trees_n),
        demand_ratio=rng.uniform(0.5, 2, grid),
        surface_ratio=rng.uniform(0.2, 1, grid),
        wall_ratio=np.where(is_glazed, 0, rng.uniform(0.1, 0.5, grid)),
        day_ratio=rng.uniform(0.8, 1.2, grid),
        sky=np.sort(rng.integers(-1, SKIES_N, trees_n)),
    )


def made_skies(hours_n, *, skies_n=SKIES_N, seed=2):
    """Return hours of summer, a shower now and then."""
    rng = np.random.default_rng(seed)
    shape = (hours_n, MEMBERS_N, skies_n)
    by_day = np.sin(np.arange(hours_n) / 24 * 2 * np.pi).round(6).clip(0, None)
    sun = by_day[:, np.newaxis, np.newaxis]
    is_wet = rng.uniform(0, 1, (hours_n, 1, 1)) < 0.05
    return Skies(
        leaf_ml_m2=sun * rng.uniform(20, 90, shape),
        surface_mm=sun * rng.uniform(0.1, 0.5, shape),
        rain_mm=np.where(is_wet, rng.uniform(0, 12, shape), 0.0),
    )


def farthest_mm(one, other, top_area_cm2):
    """Return how far two ways to carry the same pots lie apart, over their tops."""
    apart_ml = np.abs(one.water.water_ml - other.water.water_ml)
    return float(np.max(apart_ml / top_area_cm2 * 10))


def glazed(lanes):
    """Return the same pots, all of them glazed."""
    return replace(lanes, wall_ratio=0 * lanes.wall_ratio)


class Counted(NDArrayOperatorsMixin):
    """A number that counts what is done with it."""

    __array_priority__ = 1e3

    def __init__(self, told):
        self.told = told

    def __array_ufunc__(self, ufunc, method, *parts, **_):
        if ufunc is np.expm1:
            return -twins.lost_frac(-parts[0])
        self.told[ufunc.__name__] += ufunc is not np.negative  # a sign is free
        return self

    def __bool__(self):
        return False  # so that min and max return the one that counts


def places_n():
    """Return the places that a dry hour takes among a machine's operations."""
    hour, wall = Counter(), Counter()
    scratch = np.array([Counted(hour)] * text.SCRATCH_N, dtype=object)
    text.dry_out(scratch, 0, 1.0, 0.0)
    terms = balance.terms_of(Ball(**dict.fromkeys(Ball.__slots__, Counted(Counter()))))
    terms = type(terms)(**dict.fromkeys(type(terms).__slots__, Counted(wall)))
    balance.drawn_ml(Counted(wall), terms, 0.0)
    done = hour - wall  # a glazed pot's wall is compiled away
    products, sums = done["multiply"], done["add"] + done["subtract"]
    rest = sum(done.values()) - products - sums
    return rest + max(products, sums)


def multiply_adds(s, times):
    """Take eight numbers of each lane through many multiply-adds."""
    for _ in range(times):
        for j in range(text.BLOCK_N):
            a, b = s[8 * text.BLOCK_N + j], s[9 * text.BLOCK_N + j]
            for k in range(CHAINS_N):
                x = s[k * text.BLOCK_N + j]
                for _ in range(ROUNDS_N):
                    x = x * a + b
                s[k * text.BLOCK_N + j] = x


def multiply_add_s(width):
    """Return what one multiply-add of one lane takes on one core."""
    run = compiled(widened(multiply_adds, width, {}))
    scratch = scratch_of(width)
    scratch[:] = 0.5
    run(scratch, 1)
    times = 20_000
    return (
        best_s(lambda: run(scratch, times), 7)
        / times
        / text.BLOCK_N
        / CHAINS_N
        / ROUNDS_N
    )


def step_s(width, folder):
    """Return what an hour of a pot takes on one core, all copying left out."""
    trees_n, hours_n = 10 * text.BLOCK_N, 240
    lanes = glazed(made_lanes(trees_n))
    skies = replace(made_skies(hours_n), rain_mm=np.zeros((hours_n, 1, SKIES_N)))
    told = told_of(lanes, skies, np.zeros((0, trees_n)), width)
    carry_blocks, scratch = compiled_in(folder, width), scratch_of(width)

    def run():
        carry_blocks(scratch, (0, 10), *told)

    run()
    return best_s(run, 7) / trees_n / MEMBERS_N / hours_n


def day_s(carry, trees_n=10_000):
    """Return what a day of a whole yard takes, as a round asks for it."""
    lanes, skies = made_lanes(trees_n), made_skies(24)
    lines = np.full((2, trees_n), 0.3)
    carry(lanes, skies, lines)
    return best_s(lambda: carry(lanes, skies, lines))


def apart_mm(width, folder, trees_n=500, hours_n=720):
    """Return how far kernel and reference lie apart at most after thirty days."""
    lanes, skies = made_lanes(trees_n), made_skies(hours_n)
    carries = carried, carrier_in(folder, width=width)
    ends = [carry(lanes, skies, np.zeros((0, trees_n))) for carry in carries]
    return farthest_mm(*ends, lanes.ball.top_area_cm2)


def measured(folder):
    """Yield rows: what, took, budget, beside."""
    places = places_n()
    for width, most_mm in (("float32", 1e-3), ("float64", 1e-6)):
        took_s, one_s = step_s(width, folder), multiply_add_s(width)
        bound_s = places * one_s
        yield (
            f"kernel: an hour of a pot ({width}, one core)",
            f"{took_s * 1e9:.2f} ns, {1e-9 / took_s:.2f} thousand million a second",
            "2 x the bound",
            f"{took_s / bound_s:.2f} x {places} multiply-adds of {one_s * 1e12:.0f} ps",
        )
        yield (
            f"kernel: from the reference after 30 days ({width})",
            f"{apart_mm(width, folder):.0e} mm",
            f"{most_mm:.0e} mm",
            "500 pots, 64 members, rain and walls",
        )
    fast_s, plain_s = day_s(carrier_in(folder)), day_s(carried)
    yield (
        "kernel: a day of 10,000 trees (float32, every core)",
        f"{fast_s:.2f} s",
        "",
        f"NumPy {plain_s:.1f} s, {plain_s / fast_s:.0f} x as long",
    )


def main():
    """Print them."""
    with TemporaryDirectory() as folder:
        for row in measured(Path(folder)):
            print(" | ".join(row))


if __name__ == "__main__":
    main()
