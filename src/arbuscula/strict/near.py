"""Near: the names that somebody may have meant."""

from collections.abc import Iterable
from difflib import get_close_matches
from typing import Final

LONGEST_NAME_N: Final = 100  # letters; a longer word is nobody's slip of the pen


def near_names(found: str, names: Iterable[str], most_n: int = 3) -> list[str]:
    """Return the names most like what was found, the nearest first."""
    if len(found) > LONGEST_NAME_N:
        return []
    by_plain = {name.casefold(): name for name in names if len(name) <= LONGEST_NAME_N}
    near = get_close_matches(found.casefold(), by_plain, n=most_n, cutoff=0.5)
    return [by_plain[plain] for plain in near]
