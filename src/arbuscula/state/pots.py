"""Pots: what is known of pots and their trees, as an ensemble.

Members are the first axis, trees the second; what is the same for all members
of a tree has trees alone.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.case import Plant
from arbuscula.kinds.leaf import Crown
from arbuscula.kinds.library import Library
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.species import Species
from arbuscula.kinds.substrate import Mix
from arbuscula.kinds.values import Num, Value
from arbuscula.kinds.water import Ball
from arbuscula.science.container import (
    capacity_ml,
    container_capacity_frac,
    top_area_cm2,
    volume_ml,
    wall_area_cm2,
    water_at_ml,
)
from arbuscula.science.retention import (
    mix_curve,
    mix_density_g_cm3,
    mix_shed_below_frac,
    mix_shed_frac,
    mix_stage_1_mm,
)
from arbuscula.science.water.crown import crown_of_leaf_area, transmitted_frac
from arbuscula.state.ensemble import (
    MEMBERS_N,
    Grid,
    drawn,
    middle_optics,
    normals_of,
)
from arbuscula.units import CM2_IN_M2

LEAF_PATH_RATIO: Final = 0.72  # what the air crosses, over the width: campbell1998
Which: TypeAlias = int | NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class PottedTree:
    """One tree in its pot as its grower told it, with what the library adds."""

    key: str  # its draws hang on it
    species: Species
    pot: Pot
    mix: Mix
    plant: Plant
    usable_unsure_ln: float = 0.0  # beyond the usual: a pot or a mix only guessed


@dataclass(frozen=True, slots=True, kw_only=True)
class Members:
    """What each member holds to be true of pots and trees."""

    ball: Ball
    demand_ratio: Grid  # over the model's own demand of the leaves
    surface_ratio: Grid  # over bare wet soil
    wall_ratio: Grid
    dry_g: Grid  # pot, dry soil and tree: the mass without its water


def crown_of(tree: PottedTree, library: Library) -> Crown:
    """Return the tree's crown, from its leaf area or from two words for it."""
    width_m = LEAF_PATH_RATIO * tree.species.thirst.leaf_width_mm.value / 1000
    return crown_of_leaf_area(leaf_area_of_m2(tree.plant, library), width_m)


def leaf_area_of_m2(plant: Plant, library: Library) -> float:
    """Return the leaf area as counted, or as the words for the crown say."""
    if plant.leaf_area_m2 is not None:
        return plant.leaf_area_m2
    words = library.demand
    return words.leaf_area_m2[plant.crown].value * words.density[plant.density].value


def wall_cm2(tree: PottedTree) -> float:
    """Return the wall through which an unglazed pot dries."""
    return wall_area_cm2(tree.pot)


def members_of(
    tree: PottedTree, library: Library, *, members_n: int = MEMBERS_N
) -> Members:
    """Return what may be true of one pot that nobody has weighed or felt."""
    return taken(members_of_all([tree], library, members_n=members_n), 0)


def members_of_all(
    trees: Sequence[PottedTree], library: Library, *, members_n: int = MEMBERS_N
) -> Members:
    """Return what may be true of many pots that nobody has weighed or felt."""
    unknown = library.demand.unknown

    def draws(quantity: str) -> Grid:
        return normals_of(
            [f"{t.key}\x1f{quantity}" for t in trees], members_n=members_n
        )

    demand_ln = np.array([_demand_ln(tree, library) for tree in trees])
    usable_ln = unknown.usable_mix_ln.value * draws("usable of the mix")
    tree_ln = [
        np.hypot(unknown.usable_tree_ln.value, tree.usable_unsure_ln) for tree in trees
    ]
    usable_ln = usable_ln + np.array(tree_ln) * draws("usable")
    stress = [tree.species.thirst.stress_below_frac for tree in trees]
    balls = _middle_balls(trees, library)
    ball = replace(
        scaled(stacked(balls), np.exp(usable_ln)),
        stress_below_frac=_each(stress, draws("stress")),
    )
    cover = [library.demand.cover[tree.pot.surface] for tree in trees]
    wall = [library.demand.wall[tree.pot.wall] for tree in trees]
    surface_ratio = np.exp(unknown.surface_ln.value * draws("surface"))
    return Members(
        ball=ball,
        demand_ratio=np.exp(demand_ln * draws("demand")),
        surface_ratio=surface_ratio * _each(cover, draws("cover")),
        wall_ratio=_each(wall, draws("wall")),
        dry_g=_dry_g(trees, library, draws),
    )


def _each(values: Sequence[Value], normals: Grid) -> Grid:
    """Return a value's draws, tree by tree."""
    found, which = np.empty_like(normals), np.array([id(value) for value in values])
    for value in {id(value): value for value in values}.values():
        columns = which == id(value)
        found[:, columns] = drawn(value, normals[:, columns])
    return found


def _demand_ln(tree: PottedTree, library: Library) -> float:
    """Return how unsure the demand is: less where the leaves were counted."""
    unknown = library.demand.unknown
    if tree.plant.leaf_area_m2 is not None:
        return unknown.demand_ln.value
    return float(np.hypot(unknown.demand_ln.value, unknown.crown_in_words_ln.value))


def _middle_balls(trees: Sequence[PottedTree], library: Library) -> list[Ball]:
    """Return each tree's ball; those that are described alike are made once."""
    made: dict[str, Ball] = {}
    alike = [f"{t.species.latin}, {t.pot}, {t.mix}, {t.plant}" for t in trees]
    for words, tree in zip(alike, trees, strict=True):
        if words not in made:
            made[words] = _middle_ball(tree, library)
    return [made[words] for words in alike]


def _middle_ball(tree: PottedTree, library: Library) -> Ball:
    """Return the root ball as pot and mix make it, before any doubt."""
    traits = library.demand.ball
    curve = mix_curve(tree.mix, library.substrates)
    roots_frac = traits.roots_frac.value
    stop_ml = water_at_ml(
        curve,
        tree.pot,
        suction_cm=traits.stop_suction_cm.value,
        roots_frac=roots_frac,
    )
    crown, area_cm2 = crown_of(tree, library), top_area_cm2(tree.pot)
    held_frac = container_capacity_frac(curve, tree.pot)
    return Ball(
        capacity_ml=capacity_ml(curve, tree.pot, roots_frac=roots_frac),
        stop_ml=float(stop_ml),
        top_area_cm2=area_cm2,
        crown_area_cm2=np.pi * crown.half_width_m**2 * CM2_IN_M2,
        gap_frac=_gap_frac(crown, area_cm2, library),
        canopy_store_ml=traits.canopy_store_mm.value * crown.leaf_area_m2 * 1000,
        stage_1_mm=mix_stage_1_mm(tree.mix, library.substrates),
        stage_2_mm=held_frac * traits.surface_depth_mm.value,
        stress_below_frac=tree.species.thirst.stress_below_frac.value,
        shed_below_frac=mix_shed_below_frac(tree.mix, library.substrates),
        shed_frac=mix_shed_frac(tree.mix, library.substrates),
    )


def _gap_frac(crown: Crown, area_cm2: float, library: Library) -> float:
    """Return the share of the pot's top that rain reaches past the leaves."""
    optics = middle_optics(library.demand.optics)
    between_leaves = float(transmitted_frac(crown, optics, np.pi / 2))
    crown_cm2 = np.pi * crown.half_width_m**2 * CM2_IN_M2
    return float(1 - min(1.0, crown_cm2 / area_cm2) * (1 - between_leaves))


def _dry_g(
    trees: Sequence[PottedTree], library: Library, draws: Callable[[str], Grid]
) -> Grid:
    """Return pot, dry soil and tree together, as far as anybody knows.

    An unknown pot is taken to weigh what its soil weighs, give or take.
    """
    traits, unknown = library.demand.ball, library.demand.unknown
    density = [mix_density_g_cm3(t.mix, library.substrates) for t in trees]
    soil_g = np.array(density) * np.array([volume_ml(tree.pot) for tree in trees])
    soil_g = soil_g * (1 - traits.roots_frac.value)
    leaf_m2 = np.array([leaf_area_of_m2(tree.plant, library) for tree in trees])
    tares = [tree.pot.tare_g for tree in trees]
    known_g = np.array([np.nan if tare is None else tare for tare in tares])
    empty_g = np.where(np.isnan(known_g), soil_g, known_g)
    tree_g = leaf_m2 * drawn(traits.tree_g_m2, draws("wood"))
    return np.asarray(empty_g + soil_g + tree_g + unknown.tare_g.value * draws("tare"))


def scaled(ball: Ball, ratio: Num) -> Ball:
    """Return a ball that holds so many times as much, full and at its stop."""
    return replace(
        ball, capacity_ml=ball.capacity_ml * ratio, stop_ml=ball.stop_ml * ratio
    )


def stacked(balls: Sequence[Ball]) -> Ball:
    """Return many balls as one, trees along the last axis."""
    names = [f.name for f in fields(Ball)]
    return Ball(**{n: np.array([getattr(b, n) for b in balls]) for n in names})


def taken_ball(ball: Ball, trees: Which) -> Ball:
    """Return the ball of one tree, or those of some."""
    names = [f.name for f in fields(Ball)]
    return Ball(**{n: np.asarray(getattr(ball, n))[..., trees][()] for n in names})


def taken(members: Members, trees: Which) -> Members:
    """Return the members of one tree, or those of some."""
    return Members(
        ball=taken_ball(members.ball, trees),
        demand_ratio=members.demand_ratio[:, trees],
        surface_ratio=members.surface_ratio[:, trees],
        wall_ratio=members.wall_ratio[:, trees],
        dry_g=members.dry_g[:, trees],
    )
