"""Render: answers put into templates, in the reader's words."""

from base64 import b64encode
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from functools import cache
from hashlib import sha256
from importlib.resources import files
from json import loads
from typing import Final

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from arbuscula.desk.bench_climate import BenchShown
from arbuscula.desk.round import PotDrawn, Round
from arbuscula.desk.today import BenchToday, TreeToday, short_label
from arbuscula.kinds.round import Call
from arbuscula.kinds.said import Figure, Said, Sentence
from arbuscula.reports.bench import (
    bench_above,
    bench_below,
    months_caption,
    months_heads,
    months_rows,
)
from arbuscula.reports.facts import facts_in_words
from arbuscula.reports.night import tonight_in_words
from arbuscula.reports.standing import section, silhouette
from arbuscula.reports.words import Voice, number_in_words, sentence, worded

STATES: Final = {Call.WATER: "water", Call.CHECK: "check", Call.NOT_YET: "not"}
STATIC: Final = files("arbuscula.web") / "static"


@cache
def _templates() -> Environment:
    return Environment(
        loader=PackageLoader("arbuscula.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def static_names() -> dict[str, str]:
    """Return the built file of each source; the names hang on what is in them."""
    return dict(loads((STATIC / "names.json").read_text(encoding="ascii")))


@cache
def style() -> str:
    """Return the style, which stands in every page: nothing waits for it then."""
    return (STATIC / static_names()["app.css"]).read_text(encoding="utf-8").strip()


@cache
def style_digest() -> str:
    """Return the digest by which a browser knows that a style is ours."""
    return b64encode(sha256(style().encode()).digest()).decode()


def page(name: str, voice: Voice, **shown: object) -> str:
    """Return one page, in this reader's words."""

    def say(message_id: str, **figures: Figure) -> str:
        return sentence(Said(message_id, figures), voice)

    def said(told: Said | Sentence) -> str:
        parts = told.parts if isinstance(told, Sentence) else (told,)
        return " ".join(sentence(part, voice) for part in parts)

    return (
        _templates()
        .get_template(name)
        .render(
            say=say,
            said=said,
            facts=lambda facts: facts_in_words(facts, voice),
            months=lambda answer: months(answer, voice),
            tonight=lambda answer: tonight_in_words(answer, voice),
            language=voice.language,
            built=static_names(),
            style=Markup(style()),  # noqa: S704 - built from our own source
            word=lambda kind, told: worded(kind, told, voice),
            number=lambda figure: number_in_words(figure, voice),
            states=STATES,
            drawn=_drawn(silhouette),
            cut=_drawn(section),
            short=short_label,
            paired=paired,
            clock=clock,
            **shown,
        )
    )


def months(answer: BenchShown, voice: Voice) -> Mapping[str, object]:
    """Return a bench's months as a table, with the lines around them."""
    return {
        "above": list(bench_above(answer, voice)),
        "caption": months_caption(answer, voice),
        "heads": months_heads(voice),
        "rows": months_rows(answer, voice),
        "below": list(bench_below(answer, voice)),
    }


def _drawn(draw: Callable[[PotDrawn], str]) -> Callable[[PotDrawn], Markup]:
    """Return a way to draw whose result is ours, and no text of a grower's."""
    return lambda pot: Markup(draw(pot))  # noqa: S704 - numbers alone go into it


def paired(
    walk: Round,
) -> Iterator[tuple[BenchToday, str, list[tuple[TreeToday, PotDrawn]]]]:
    """Yield every bench with its exposure, and each tree with how it stands."""
    for bench, standing in zip(walk.today.benches, walk.standing, strict=True):
        pairs = list(zip(bench.trees, standing.pots, strict=True))
        yield bench, standing.exposure.value, pairs


def clock(moment: datetime) -> str:
    """Return a moment as a script reads it."""
    return moment.isoformat()
