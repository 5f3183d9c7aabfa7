"""Quote: what stands in a file, short enough to be told in a sentence."""

from datetime import date, time
from reprlib import Repr
from typing import Final

LONGEST_N: Final = 60
SHORT: Final = Repr()
SHORT.maxstring = SHORT.maxother = SHORT.maxlong = LONGEST_N
SHORT.maxlevel = 1


def quoted(found: object) -> str:
    """Return a value as a file would write it, a long one cut short."""
    if isinstance(found, (date, time)):
        return found.isoformat()
    try:
        text = SHORT.repr(found)
        return text if len(text) <= LONGEST_N else text[: LONGEST_N - 3] + "..."
    except ValueError:  # Python writes out no number of more than 4300 digits
        return "a number of very many digits"


def plain(text: str) -> str:
    """Return a name or a cell as it stands, unless it is long or cannot be seen."""
    return text if text.isprintable() and len(text) <= LONGEST_N else quoted(text)


def plain_number(number: float) -> str:
    """Return a limit as a grower would type it."""
    return f"{number:.12g}"
