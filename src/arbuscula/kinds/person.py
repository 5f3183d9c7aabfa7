"""Person: buyers, givers and helpers, who can be forgotten."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

Role: TypeAlias = Literal["buyer", "giver", "helper"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody whom events know by `id` alone."""

    id: str
    role: Role
    name: str
    contact: str = ""
    note: str = ""
