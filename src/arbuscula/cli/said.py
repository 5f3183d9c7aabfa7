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
    "length": ("length_m", "Metres of room for pots, all rows together."),
    "order": ("order_n", "Its place in the walk."),
    "opposite": ("obstruction_deg", "What faces it: '8 m high, 20 m off', or degrees."),
    "overhang": ("overhang_deg", "Where a roof's edge is, in degrees above the level."),
    "floor": ("floor", "What the pots stand on: ground, concrete or battens."),
    "glass": ("glazing", "Of the window: single, double, triple, tinted ..."),
    "from-glass": ("glass_distance_cm", "Centimetres from the glass to the pots."),
    "window-width": ("window_width_cm", "Centimetres of glass across."),
    "window-height": ("window_height_cm", "Centimetres of glass upwards."),
    "sill": ("sill_height_cm", "Centimetres of the glass's lower edge over the pots."),
    "curtain": ("curtain_frac", "Share of the light that a curtain takes."),
    "cover": ("cover", "Of a house or frame: film, polycarbonate, single ..."),
    "airing": ("ventilation", "closed, vents or fan."),
    "vents-at": ("vent_at_c", "Degrees at which vents open or fans run."),
    "heat-to": ("heat_to_c", "Degrees that a heater holds."),
    "screen": ("has_screen", "yes: drawn at night against the cold."),
    "lamp": ("ppfd_umol_m2_s", "The lamp at the leaves, in umol/m2/s."),
    "lamp-hours": ("lit_h", "Hours a day that it burns."),
    "lamp-from": ("lit_from", "When it is switched on, by the sun: 07:00."),
    "winter": ("winter_c", "Degrees of the room in winter."),
    "summer": ("summer_c", "Degrees of the room in summer."),
    "humidity": ("humidity_frac", "Humidity of the room or house, 0 to 1."),
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
