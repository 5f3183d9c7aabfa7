"""How dear is one step of the pot, beside the barest pass over the same numbers?

    python -m bench.balance

Prints ratios within one run: a step of `after_step` over one multiply-add of
arrays of the same shape. The step does some 60 such passes' work.
"""

import numpy as np

from arbuscula.kinds.water import Ball, PotWater
from arbuscula.science.water.balance import after_step
from bench.timing import best_s


def step_in_passes(n):
    """Return what one hour of so many pots takes, and one bare pass over them."""
    one = np.ones(n)
    ball = Ball(
        capacity_ml=900 * one,
        stop_ml=500 * one,
        top_area_cm2=330.0,
        crown_area_cm2=1000.0,
        gap_frac=0.3,
        canopy_store_ml=50.0,
        stage_1_mm=2.0,
        stage_2_mm=12.0,
        stress_below_frac=0.35 * one,
        shed_below_frac=0.15,
        shed_frac=0.3,
    )
    water = PotWater(water_ml=800 * one, surface_depletion_mm=one, canopy_ml=one)
    asked = {"rain_mm": 0.1, "given_ml": 0.0, "leaf_ml": 20 * one}
    more = {"surface_mm": 0.2 * one, "wall_ml": 0.0}
    step_s = best_s(lambda: after_step(water, ball, **asked, **more), 7, rounds_n=10)
    return step_s, best_s(lambda: water.water_ml * one + one, 7, rounds_n=10)


def main():
    """Print the ratio for a few sizes."""
    for n in (200, 20_000, 200_000):
        step_s, bare_s = step_in_passes(n)
        passes = step_s / bare_s
        print(f"{n:8} members: {step_s * 1e6:9.1f} us a step, {passes:5.0f} passes")


if __name__ == "__main__":
    main()
