"""Lanes: blocks of trees that go through their hours side by side.

What lies here is read by the compiler, with the reference's own text for each
hour. A block's numbers lie in one flat array, a slot for each kind, so that the
compiler sees that no two slots touch and turns the lanes into vectors.
"""

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.water import Ball, PotWater
from arbuscula.science.water.balance import Terms, dried, terms_of, wetted
from arbuscula.science.water.lanes import SMALLEST_FALL_FRAC

BLOCK_N: Final = 64  # lanes that are taken through an hour together
TERMS_N: Final = 14
# Slots, each a block wide; before them lie the terms, in their order.
WATER: Final = TERMS_N * BLOCK_N
DEPLETION: Final = WATER + BLOCK_N
CANOPY: Final = DEPLETION + BLOCK_N
LEAF: Final = CANOPY + BLOCK_N  # what a lane asks beside its sky
CUT: Final = LEAF + BLOCK_N
SURFACE: Final = CUT + BLOCK_N
WALL: Final = SURFACE + BLOCK_N
LEAF_SKY: Final = WALL + BLOCK_N  # the hour's, as each lane feels it
SURFACE_SKY: Final = LEAF_SKY + BLOCK_N
RAIN_SKY: Final = SURFACE_SKY + BLOCK_N
LEFT: Final = RAIN_SKY + BLOCK_N  # usable water before the hour, as a share
LINE: Final = LEFT + BLOCK_N
PASSED: Final = LINE + BLOCK_N
SECOND_LINE: Final = PASSED + BLOCK_N
SECOND: Final = SECOND_LINE + BLOCK_N
SCRATCH_N: Final = SECOND + BLOCK_N
LINES_MOST_N: Final = 2
NO_LINE: Final = -1.0  # nothing is ever below it
NOT_PASSED_H: Final = 1e30

Lane = NDArray[np.floating[Any]]
Grid = NDArray[np.float64]
Columns = tuple[Grid, ...]  # members (or one for all) by trees
Skies = tuple[Grid, Grid, Grid]  # hours, members (or one for all), skies


def carry_blocks(
    scratch: Lane,
    blocks: tuple[int, int],
    ball: Columns,
    water: Columns,
    ratios: Columns,
    sky: NDArray[np.int64],
    skies: Skies,
    kept_ratio: float,
    lines: Grid,
    passed_h: Grid,
) -> None:
    """Take some blocks of trees through all hours; water and passings change."""
    trees_n, members_n = sky.size, water[0].shape[0]
    for block in range(blocks[0], blocks[1]):
        first = block * BLOCK_N
        lanes_n = min(BLOCK_N, trees_n - first)
        for m in range(members_n):
            for j in range(BLOCK_N):
                i = first + min(j, lanes_n - 1)  # the last lane fills the block
                settle(scratch, j, ball, water, m, i)
                ask(scratch, j, ratios, m, i)
                draw(scratch, j, lines, i)
            here = sky[first : first + lanes_n]
            through_hours(scratch, here, skies, m, kept_ratio, lines.shape[0])
            for j in range(lanes_n):
                tell(scratch, j, water, passed_h, m, first + j)


def at(column: Grid, m: int, i: int) -> float:
    """Return one lane's number, its own or the same for all members."""
    return column[min(m, column.shape[0] - 1), i]


def settle(s: Lane, j: int, ball: Columns, water: Columns, m: int, i: int) -> None:
    """Put a lane's terms and water into the slots."""
    terms = terms_of(
        Ball(
            capacity_ml=at(ball[0], m, i),
            stop_ml=at(ball[1], m, i),
            top_area_cm2=at(ball[2], m, i),
            crown_area_cm2=at(ball[3], m, i),
            gap_frac=at(ball[4], m, i),
            canopy_store_ml=at(ball[5], m, i),
            stage_1_mm=at(ball[6], m, i),
            stage_2_mm=at(ball[7], m, i),
            stress_below_frac=at(ball[8], m, i),
            shed_below_frac=at(ball[9], m, i),
            shed_frac=at(ball[10], m, i),
        )
    )
    for k in range(TERMS_N):
        s[k * BLOCK_N + j] = terms[k]  # type: ignore[index] # a tuple by then
    s[WATER + j] = at(water[0], m, i)
    s[DEPLETION + j] = at(water[1], m, i)
    s[CANOPY + j] = at(water[2], m, i)
    s[LEFT + j] = left_of(s[WATER + j], s[BLOCK_N + j], s[2 * BLOCK_N + j])


def left_of(water_ml: float, stop_ml: float, usable_ml: float) -> float:
    """Return the usable water left, as a share."""
    return min(max((water_ml - stop_ml) / usable_ml, 0.0), 1.0)


def ask(s: Lane, j: int, ratios: Columns, m: int, i: int) -> None:
    """Put what a lane asks beside its sky into the slots."""
    day = at(ratios[0], m, i)
    s[LEAF + j] = at(ratios[1], m, i) * at(ratios[2], m, i) * day
    s[CUT + j] = at(ratios[3], m, i)
    s[SURFACE + j] = at(ratios[4], m, i) * day
    s[WALL + j] = at(ratios[5], m, i) * at(ratios[6], m, i) / 10.0 * day


def draw(s: Lane, j: int, lines: Grid, i: int) -> None:
    """Put a lane's lines into the slots, not passed yet."""
    s[LINE + j] = lines[0, i] if lines.shape[0] > 0 else NO_LINE
    s[SECOND_LINE + j] = lines[1, i] if lines.shape[0] > 1 else NO_LINE
    s[PASSED + j] = NOT_PASSED_H
    s[SECOND + j] = NOT_PASSED_H


def terms_at(s: Lane, j: int) -> Terms:
    """Return a lane's terms out of the slots."""
    return Terms(
        capacity_ml=s[j],
        stop_ml=s[BLOCK_N + j],
        usable_ml=s[2 * BLOCK_N + j],
        stress_per_ml=s[3 * BLOCK_N + j],
        stage_1_mm=s[4 * BLOCK_N + j],
        stage_2_mm=s[5 * BLOCK_N + j],
        top_ml_mm=s[6 * BLOCK_N + j],
        layer_mm_ml=s[7 * BLOCK_N + j],
        past_ml_mm=s[8 * BLOCK_N + j],
        caught_ml_mm=s[9 * BLOCK_N + j],
        above_pot_frac=s[10 * BLOCK_N + j],
        canopy_store_ml=s[11 * BLOCK_N + j],
        shed_below_ml=s[12 * BLOCK_N + j],
        shed_per_ml=s[13 * BLOCK_N + j],
    )


def water_at(s: Lane, j: int) -> PotWater:
    """Return what a lane holds."""
    return PotWater(
        water_ml=s[WATER + j],
        surface_depletion_mm=s[DEPLETION + j],
        canopy_ml=s[CANOPY + j],
    )


def keep(s: Lane, j: int, water: PotWater) -> None:
    """Put what a lane holds into its slots."""
    s[WATER + j] = water.water_ml
    s[DEPLETION + j] = water.surface_depletion_mm
    s[CANOPY + j] = water.canopy_ml


def tell(s: Lane, j: int, water: Columns, passed_h: Grid, m: int, i: int) -> None:
    """Put what a lane holds, and when it passed its lines, where they belong."""
    water[0][m, i] = s[WATER + j]
    water[1][m, i] = s[DEPLETION + j]
    water[2][m, i] = s[CANOPY + j]
    for line in range(passed_h.shape[0]):
        at_h = s[PASSED + 2 * line * BLOCK_N + j]
        if at_h < NOT_PASSED_H:
            passed_h[line, m, i] = at_h


def through_hours(
    s: Lane,
    here: NDArray[np.int64],
    skies: Skies,
    m: int,
    kept_ratio: float,
    lines_n: int,
) -> None:
    """Take a block through all hours; what most hours lack is passed over."""
    walls, alike = False, True
    for j in range(BLOCK_N):
        walls = walls or s[WALL + j] > 0.0
        alike = alike and here[min(j, here.size - 1)] == here[0]
    now_h, kept = 0.0, 1.0  # of what was cut
    for hour in range(skies[0].shape[0]):
        if alike:
            feel_alike(s, skies, m, hour, here[0])
        else:
            for j in range(BLOCK_N):
                feel(s, j, skies, m, hour, here[min(j, here.size - 1)])
        if rained_mm(s) > 0.0:
            for j in range(BLOCK_N):
                rain_on(s, j)
        if walls:
            for j in range(BLOCK_N):
                dry_out(s, j, kept, s[SURFACE_SKY + j] * s[WALL + j])
        else:
            for j in range(BLOCK_N):
                dry_out(s, j, kept, 0.0)
        if lines_n:
            note(s, now_h)
        now_h, kept = now_h + 1.0, kept * kept_ratio


def feel_alike(s: Lane, skies: Skies, m: int, hour: int, sky: int) -> None:
    """Put into the slots what an hour asks of a block under one sky."""
    feel(s, 0, skies, m, hour, sky)
    leaf_ml_m2, surface_mm, rain_mm = s[LEAF_SKY], s[SURFACE_SKY], s[RAIN_SKY]
    for j in range(BLOCK_N):
        s[LEAF_SKY + j] = leaf_ml_m2
        s[SURFACE_SKY + j] = surface_mm
        s[RAIN_SKY + j] = rain_mm


def feel(s: Lane, j: int, skies: Skies, m: int, hour: int, sky: int) -> None:
    """Put into the slots what an hour asks of a lane; no sky asks nothing."""
    which, here = max(sky, 0), 1.0 if sky >= 0 else 0.0
    s[LEAF_SKY + j] = at(skies[0][hour], m, which) * here
    s[SURFACE_SKY + j] = at(skies[1][hour], m, which) * here
    s[RAIN_SKY + j] = at(skies[2][hour], m, which) * here


def rained_mm(s: Lane) -> float:
    """Return the rain of all lanes together in this hour."""
    all_mm = 0.0
    for j in range(BLOCK_N):
        all_mm += s[RAIN_SKY + j]
    return all_mm


def rain_on(s: Lane, j: int) -> None:
    """Let rain fall on a lane."""
    wet, _, _ = wetted(
        water_at(s, j), terms_at(s, j), rain_mm=s[RAIN_SKY + j], given_ml=0.0
    )
    keep(s, j, wet)


def dry_out(s: Lane, j: int, kept: float, wall_ml: float) -> None:
    """Let leaves, surface and wall of a lane take theirs."""
    dry, _ = dried(
        water_at(s, j),
        terms_at(s, j),
        leaf_ml=s[LEAF_SKY + j] * s[LEAF + j] * (1.0 - s[CUT + j] * kept),
        surface_mm=s[SURFACE_SKY + j] * s[SURFACE + j],
        wall_ml=wall_ml,
    )
    keep(s, j, dry)


def note(s: Lane, now_h: float) -> None:
    """Note which lanes passed a line in this hour; their fall is taken as even."""
    for j in range(BLOCK_N):
        before = s[LEFT + j]
        after = left_of(s[WATER + j], s[BLOCK_N + j], s[2 * BLOCK_N + j])
        per_fall = 1.0 / max(before - after, SMALLEST_FALL_FRAC)
        first, second = s[LINE + j], s[SECOND_LINE + j]
        first_h = now_h + max(before - first, 0.0) * per_fall
        second_h = now_h + max(before - second, 0.0) * per_fall
        first_h, second_h = min(s[PASSED + j], first_h), min(s[SECOND + j], second_h)
        s[PASSED + j] = first_h if after <= first else s[PASSED + j]
        s[SECOND + j] = second_h if after <= second else s[SECOND + j]
        s[LEFT + j] = after
