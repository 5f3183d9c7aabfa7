"""Said: what is to be told, before it has a language."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TypeAlias

Figure: TypeAlias = float | date | str  # a float's name ends in its unit


@dataclass(frozen=True, slots=True)
class Said:
    """A message and its figures; each figure's name bears its unit."""

    message_id: str
    figures: Mapping[str, Figure]


@dataclass(frozen=True, slots=True)
class Sentence:
    """Several things said in one breath."""

    parts: tuple[Said, ...]


class ArbusculaError(Exception):
    """Faults we can explain: where each is, what we found, what would do."""

    def __init__(self, *faults: Said) -> None:
        self.faults = faults
        super().__init__(*faults)


class NotDoneError(ArbusculaError):
    """The request was valid and was not carried out."""
