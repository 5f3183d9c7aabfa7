"""Bench: what a bench is like by month, as a table and the lines around it."""

from collections.abc import Iterator
from functools import partial
from typing import Final

from arbuscula.desk.bench_climate import BenchMonth, BenchShown
from arbuscula.kinds.said import Said
from arbuscula.reports.facts import sizes_in_words
from arbuscula.reports.words import (
    Voice,
    figure_in_words,
    months_in_words,
    number_in_words,
    sentence,
    species_in_words,
)

HEADS: Final = (
    "bench.head_month",
    "bench.head_light",
    "bench.head_doubt",
    "bench.head_air",
    "bench.head_range",
    "bench.head_roots",
    "bench.head_tree",
)
SUITS: Final = {
    "grows": "suits.grows_short",
    "kept": "suits.kept_short",
    "dies": "suits.dies_short",
}
LIGHT_FROM: Final = {
    "meter": "bench.light_from_meter",
    "sky": "bench.light_from_sky",
    "geometry": "bench.light_from_geometry",
    "shares": "bench.light_from_shares",
}


def bench_above(answer: BenchShown, voice: Voice) -> Iterator[str]:
    """Yield who stands there, the room left, and what becomes of a tree."""
    shown = {
        "bench": answer.bench.name,
        "exposure": answer.bench.exposure.value,
        "trees_n": float(len(answer.trees)),
    }
    for said in (Said("bench.shown", shown), answer.room, *answer.verdict):
        if said is not None:
            yield sentence(said, voice)


def months_caption(answer: BenchShown, voice: Voice) -> str:
    """Return for whom the months are told, and what their columns are."""
    told = {
        "species": species_in_words(answer.species),
        "pot": sizes_in_words(answer.pot, voice),
    }
    return sentence(Said("bench.for", told), voice)


def months_heads(voice: Voice) -> list[str]:
    """Return the heads of the months' table."""
    return [sentence(Said(head, {}), voice) for head in HEADS]


def months_rows(answer: BenchShown, voice: Voice) -> list[list[str]]:
    """Return one row a month."""
    names = months_in_words(voice)
    return [[names[m.month_n - 1], *_cells(m, voice)] for m in answer.months]


def bench_below(answer: BenchShown, voice: Voice) -> Iterator[str]:
    """Yield what the light rests on, and what one word or reading would settle."""
    rain = {"rain_frac": answer.rain_frac}
    yield sentence(Said(LIGHT_FROM[answer.light_from], rain), voice)
    if (ratio := answer.light_ratio) is not None:
        told = {"ratio": ratio.p50, "low_ratio": ratio.p10, "high_ratio": ratio.p90}
        yield sentence(Said("bench.metered", told), voice)
    for said in answer.notes:
        yield sentence(said, voice)


def _cells(month: BenchMonth, voice: Voice) -> list[str]:
    """Return one month's figures as a table shows them."""
    light = month.dli_mol_m2_d
    number = partial(number_in_words, voice=voice, figures_n=2)

    def warmth(*told_c: float) -> str:
        return " / ".join(figure_in_words("told_c", round(c), voice) for c in told_c)

    return [
        number(light.p50),
        f"{number(light.p10)}-{number(light.p90)}",
        warmth(month.air_mean_c),
        warmth(month.air_low_c.p50, month.air_high_c.p50),
        warmth(month.ball_low_c.p50, month.ball_high_c.p50),
        sentence(Said(SUITS[month.suits], {}), voice),
    ]
