"""Reply: the text of a service becomes numbers with a time, or a clear fault."""

import json
import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any, Final

import numpy as np

from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.weather import Row, Spot

MOST: Final = 1e12  # more is no time and no weather, and would run over
FAR_DEG: Final = 1.0  # a cell of the coarsest model is half as wide

# Words in quotes stay; bare nan and its like, which JSON does not know, go.
_BARE: Final = re.compile(
    r'("(?:[^"\\]|\\.)*")|-?\b(?:nan|inf|infinity)\b', re.IGNORECASE
)


def json_of(body: bytes, *, source: str) -> Any:  # noqa: ANN401 - JSON is Any
    """Return what a JSON text holds; a bare `nan` in it is a gap."""
    try:
        text = body.decode("utf-8-sig")
        try:
            return json.loads(text, parse_constant=_gap)
        except ValueError:
            return json.loads(_BARE.sub(lambda found: found[1] or "null", text))
    except (ValueError, RecursionError) as error:
        figures: dict[str, Figure] = {"source": source, "found": str(error)[:80]}
        raise ArbusculaError(Said("weather.not_json", figures)) from None


def _gap(_constant: str) -> None:
    return None


def part_of(whole: object, *keys: str, source: str) -> Any:  # noqa: ANN401 - JSON is Any
    """Return what stands under these keys, or say that it is not there."""
    for key in keys:
        if not isinstance(whole, Mapping) or key not in whole:
            figures: dict[str, Figure] = {"source": source, "key": ".".join(keys)}
            raise ArbusculaError(Said("weather.not_in_reply", figures))
        whole = whole[key]
    return whole


def numbers_of(cells: object, *, count: int, name: str, source: str) -> Row:
    """Return cells as numbers; what is none is a gap."""
    if not isinstance(cells, Sequence) or len(cells) != count:
        found = len(cells) if isinstance(cells, Sequence) else 0
        figures: dict[str, Figure] = {
            "source": source,
            "key": name,
            "found": f"{found}",
            "expected": f"{count}",
        }
        raise ArbusculaError(Said("weather.uneven", figures))
    return np.array([_number(cell) for cell in cells], dtype=np.float64)


def _number(cell: object) -> float:
    if isinstance(cell, bool) or not isinstance(cell, (int, float)):
        return np.nan
    return float(max(-MOST, min(MOST, cell)))


def unix_s_of(cells: object, *, offset_s: float = 0.0, source: str) -> Row:
    """Return times in seconds since 1970; ones without an offset are so far east."""
    if not isinstance(cells, Sequence) or not cells:
        raise _untimed(source, cells)
    times_s = [_unix_s(cell, offset_s, source) for cell in cells]
    return np.array(times_s, dtype=np.float64)


def _unix_s(cell: object, offset_s: float, source: str) -> float:
    if np.isfinite(seconds := _number(cell)):
        return seconds
    try:
        at = datetime.fromisoformat(str(cell))
    except ValueError:
        raise _untimed(source, cell) from None
    if at.tzinfo is None:
        return at.replace(tzinfo=UTC).timestamp() - offset_s
    return at.timestamp()


def _untimed(source: str, found: object) -> ArbusculaError:
    figures: dict[str, Figure] = {"source": source, "found": str(found)[:60]}
    return ArbusculaError(Said("weather.no_time", figures))


def number_in(whole: Mapping[str, object], key: str) -> float:
    """Return the number that stands under a key, or a gap."""
    return _number(whole.get(key))


def numbers_in(whole: object, *keys: str, source: str) -> list[float]:
    """Return the list that stands under these keys; what is no number is a gap."""
    cells = part_of(whole, *keys, source=source)
    return [_number(cell) for cell in cells] if isinstance(cells, list) else []


def words_in(whole: object, *keys: str, source: str) -> dict[str, str]:
    """Return the words by name that stand under these keys."""
    found = part_of(whole, *keys, source=source)
    pairs = found.items() if isinstance(found, Mapping) else ()
    return {str(key): str(word) for key, word in pairs}


def refuse_elsewhere(spot: Spot, place: Sequence[float], *, source: str) -> None:
    """Refuse an answer for another place; its cell may be half a degree away.

    The place is told as latitude and longitude.
    """
    found = np.array([*place, np.nan, np.nan][:2])
    if np.isnan(found).any():
        figures: dict[str, Figure] = {"source": source, "key": "place"}
        raise ArbusculaError(Said("weather.not_in_reply", figures))
    east_deg = (found[1] - spot.longitude_deg + 180) % 360 - 180
    east_deg *= np.cos(np.radians(spot.latitude_deg))
    if not np.hypot(found[0] - spot.latitude_deg, east_deg) <= FAR_DEG:
        figures = {
            "source": source,
            "asked": f"{spot.latitude_deg:g}, {spot.longitude_deg:g}",
            "found": f"{found[0]:g}, {found[1]:g}",
        }
        raise ArbusculaError(Said("weather.elsewhere", figures))
