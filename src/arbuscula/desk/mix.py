"""Mix: what a mix holds in this pot, and what to buy for it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from arbuscula.catalog.spoken import mix_from_words, pot_from_words
from arbuscula.desk import Desk
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.substrate import Mix, PoreShares
from arbuscula.kinds.values import Grade, Spread, Value
from arbuscula.science.container import (
    air_frac,
    capacity_ml,
    parts_to_buy_l,
    saturated_layer_mm,
    usable_ml,
    volume_ml,
)
from arbuscula.science.retention import (
    mix_curve,
    mix_error_frac,
    mix_grade,
    pore_shares,
)
from arbuscula.state.ensemble import ONE_IN_TEN_SD


@dataclass(frozen=True, slots=True, kw_only=True)
class MixInPot:
    """The answer: water, air and litres of one mix in one pot."""

    schema: Literal["arbuscula.mix/1"] = "arbuscula.mix/1"
    mix: Mix
    pot: Pot
    volume_ml: float
    capacity_ml: Spread  # soil and roots as they are, drained
    usable_ml: Spread
    air_filled_frac: Spread
    saturated_layer_mm: float  # nearly full, above the bottom
    pores: PoreShares  # definitions, never a verdict
    to_buy_l: Mapping[str, Value]
    grade: Grade
    notes: Mapping[str, str]  # what is not known of each substrate


def mix(desk: Desk, words: str, pot_words: str, *, taper_frac: float = 1.0) -> MixInPot:
    """Say what this mix holds in this pot, and what to buy to fill it."""
    library = desk.library()
    parts = mix_from_words(words, library)
    pot = pot_from_words(pot_words, library, taper_frac=taper_frac)
    curve = mix_curve(parts, library.substrates)
    soil_ml = volume_ml(pot)
    error = mix_error_frac(parts, library.substrates)
    ball = library.demand.ball
    roots_frac = ball.roots_frac.value
    to_use_ml = usable_ml(
        curve, pot, stop_suction_cm=ball.stop_suction_cm.value, roots_frac=roots_frac
    )
    return MixInPot(
        mix=parts,
        pot=pot,
        volume_ml=soil_ml,
        capacity_ml=_spread(
            capacity_ml(curve, pot, roots_frac=roots_frac), error * soil_ml
        ),
        usable_ml=_spread(to_use_ml, error * soil_ml),
        air_filled_frac=_spread(air_frac(curve, pot), error),
        saturated_layer_mm=saturated_layer_mm(curve, pot),
        pores=pore_shares(curve),
        to_buy_l=parts_to_buy_l(parts, fill_ml=soil_ml),
        grade=mix_grade(parts, library.substrates),
        notes={key: library.substrates[key].note for key in parts},
    )


def _spread(middle: float, error: float) -> Spread:
    """Return a number with its standard error; nothing is less than nil."""
    far = ONE_IN_TEN_SD * error
    return Spread(p10=max(middle - far, 0.0), p50=middle, p90=middle + far)
