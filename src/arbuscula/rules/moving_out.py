"""Rules about moving into more light: full shade first, then steps to the sun.

Practice, no trial: two weeks, one to three. Leaves that grew in a room may scorch
all the same, and are replaced. Out only while nights are mild.
"""

import numpy as np

from arbuscula.kinds.moving import DoseFigures, LightMove, Step
from arbuscula.kinds.said import Said


def is_into_more(move: LightMove, figures: DoseFigures) -> bool:
    """Return whether a move is one into more light."""
    return move.there_mol_m2_d > figures.more_ratio.value * move.here_mol_m2_d


def steps_out(move: LightMove, figures: DoseFigures) -> tuple[Step, ...]:
    """Return the steps of a move into more light, none darker than where it was."""
    steps_n, out_d = int(figures.steps_n.value), figures.out_d.value
    ratios = np.linspace(figures.first_ratio.value, 1.0, steps_n)
    lights = np.maximum(ratios * move.there_mol_m2_d, move.here_mol_m2_d)
    days = [round(d) for d in np.linspace(0, out_d, steps_n)]
    return tuple(
        Step(
            from_d=day,
            lasts_d=after - day if after is not None else None,
            light_mol_m2_d=float(light),
        )
        for day, after, light in zip(days, [*days[1:], None], lights, strict=True)
    )


def why_out(figures: DoseFigures) -> Said:
    """Say why it is led so."""
    return Said("move.shade_then_sun", {"out_d": figures.out_d.value})
