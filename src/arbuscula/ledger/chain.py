"""Chain: each row's digest holds the row and the digest before it."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

COLUMNS: Final = (
    "id",
    "sort",
    "subject",
    "kind",
    "happened",
    "written",
    "by",
    "facts",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """How far the ledger has grown, and the digest of all there is to there."""

    position_n: int = 0
    digest: str = ""


def head_after(head: Head, row: Mapping[str, str]) -> Head:
    """Return where the ledger stands once this row is added."""
    text = json.dumps([head.digest, *(row[column] for column in COLUMNS)])
    digest = sha256(text.encode()).hexdigest()
    return Head(position_n=head.position_n + 1, digest=digest)
