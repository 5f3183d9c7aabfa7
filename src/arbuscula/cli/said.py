"""Said: what may be told of a bench or a tree on the command line."""

from collections.abc import Mapping
from functools import reduce
from typing import Final

import click
from click.decorators import FC

BENCH: Final = {  # option: field
    "exposure": ("exposure", "open, shade netting, rain cover, glasshouse, window ..."),
    "facing": ("facing_deg", "A point of the compass, or degrees."),
    "shade": ("shade_frac", "Share of the light that netting takes."),
    "sky": ("sky_frac", "Share of the sky in sight."),
    "capacity": ("capacity_n", "How many pots it holds."),
    "order": ("order_n", "Its place in the walk."),
}
TREE: Final = {
    "pot": ("pot", "Inner sizes: 'oval 235 x 180 x 70', or 'oval 18 cm'."),
    "mix": ("mix", "'3 pumice, 4 akadama, 1 pine-bark'."),
    "leaf-area": ("leaf_area_m2", "Square metres of leaf, if counted."),
    "crown": ("crown", "small, medium or large."),
    "density": ("density", "thin, normal or dense."),
    "height": ("height_cm", "Centimetres above the soil."),
    "spread": ("spread_cm", "Centimetres across."),
    "trunk": ("trunk_mm", "Millimetres, just above the roots."),
}


def _options(table: Mapping[str, tuple[str, str]], command: FC) -> FC:
    options = [
        click.option(f"--{name}", name.replace("-", "_"), help=text)
        for name, (_, text) in table.items()
    ]
    return reduce(lambda made, option: option(made), reversed(options), command)


def bench_options(command: FC) -> FC:
    """Let a command be told of a bench."""
    return _options(BENCH, command)


def tree_options(command: FC) -> FC:
    """Let a command be told of a tree."""
    return _options(TREE, command)


def said_of(
    options: Mapping[str, str | None],
) -> tuple[dict[str, str], dict[str, str]]:
    """Return what was said of the bench and of the tree, by field."""
    of_bench = _fields(BENCH, options)
    of_tree = _fields(TREE, options)
    species = options.get("species")
    return of_bench, {**of_tree, **({"species": species} if species else {})}


def _fields(
    table: Mapping[str, tuple[str, str]], options: Mapping[str, str | None]
) -> dict[str, str]:
    return {
        field: text
        for name, (field, _) in table.items()
        if (text := options.get(name.replace("-", "_"))) is not None
    }
