"""Person: buyers and helpers, who can be forgotten."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody whom events know by `id` alone."""

    id: str
    role: Literal["buyer", "helper"]
    name: str
    contact: str = ""
    note: str = ""
