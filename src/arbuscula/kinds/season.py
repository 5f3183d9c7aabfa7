"""Season: what is meant by growing, and by a risk that is low."""

from dataclasses import dataclass

from arbuscula.kinds.values import Value


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonFigures:
    """The choices behind a season; each can be made otherwise."""

    window_d: Value  # over which warmth is averaged, the day in its middle
    growing_light_mol_m2_d: Value
    accepted_frac: Value  # of a night under the floor within a week
