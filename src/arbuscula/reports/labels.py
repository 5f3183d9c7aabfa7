"""Labels: many trees in one line."""

from collections.abc import Sequence
from typing import Final

from arbuscula.kinds.said import Figure, Said
from arbuscula.reports.words import Voice, sentence

SHOWN_N: Final = 6


def some_of(labels: Sequence[str], voice: Voice) -> str:
    """Return labels, or the first of many and how many more."""
    shown, more_n = ", ".join(labels[:SHOWN_N]), float(len(labels) - SHOWN_N)
    if more_n < 1:
        return shown
    figures: dict[str, Figure] = {"some": shown, "more_n": more_n}
    return sentence(Said("today.and_more", figures), voice)
