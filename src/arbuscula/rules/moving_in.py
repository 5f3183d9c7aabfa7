"""Rules about moving into less light: weeks of shade before, or none.

Three days of shade before the dark cost more leaves than none at all; three weeks
save more than half of them (bulle2001). A cold night overrides all of it.
"""

from arbuscula.kinds.moving import DoseFigures, LightMove, Step
from arbuscula.kinds.said import Said


def is_into_less(move: LightMove, figures: DoseFigures) -> bool:
    """Return whether a move is one into less light."""
    return move.there_mol_m2_d < figures.less_ratio.value * move.here_mol_m2_d


def steps_in(move: LightMove, figures: DoseFigures) -> tuple[Step, ...]:
    """Return the steps of a move into less light: the whole dose, or none of it."""
    shaded_d = int(figures.shaded_d.value)
    if not _has_time(move, figures):
        return (Step(from_d=0, lasts_d=None, light_mol_m2_d=move.there_mol_m2_d),)
    shade = figures.shaded_ratio.value * move.here_mol_m2_d
    return (
        Step(from_d=0, lasts_d=shaded_d, light_mol_m2_d=shade),
        Step(from_d=shaded_d, lasts_d=None, light_mol_m2_d=move.there_mol_m2_d),
    )


def why_in(move: LightMove, figures: DoseFigures) -> Said:
    """Say why it is led so: the dose fits, or no part of it would help."""
    shaded: dict[str, float] = {"shaded_d": figures.shaded_d.value}
    if _has_time(move, figures):
        return Said("move.shade_first", {**shaded})
    return Said("move.no_shade", {**shaded, "left_d": move.left_d or 0.0})


def _has_time(move: LightMove, figures: DoseFigures) -> bool:
    return move.left_d is None or move.left_d >= figures.shaded_d.value


def shade_told(shaded_d: float, figures: DoseFigures) -> Said:
    """Say what the shade that a tree had before its move was worth."""
    told = {"shaded_d": shaded_d, "wanted_d": figures.shaded_d.value}
    if shaded_d >= figures.shaded_d.value:
        return Said("moved.shaded", {**told})
    return Said("moved.too_short" if shaded_d > 0 else "moved.unshaded", {**told})
