"""Observed: what each source saw in the hours between bounds.

The latest reading of a time wins; what it corrects stays in the archive.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from arbuscula.kinds.forecast import Kept
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.weather.bounds import between
from arbuscula.weather.packed import QUANTITIES, quantity

Batches = Sequence[tuple[Kept, WeatherRows]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What one source saw between bounds, and which batch told it last."""

    source: str
    batches: tuple[Kept, ...]  # oldest first
    cells: Mapping[str, Row]
    told_n: Mapping[str, Row]  # the position of the latest reading, by hour


def seen_by_source(batches: Batches, bounds_s: Row) -> tuple[Seen, ...]:
    """Return what each source saw between bounds; the batches are oldest first."""
    sources = dict.fromkeys(kept.source for kept, _ in batches)
    return tuple(
        _seen([pair for pair in batches if pair[0].source == source], bounds_s)
        for source in sources
    )


def _seen(batches: Batches, bounds_s: Row) -> Seen:
    pairs = {name: _between(batches, name, bounds_s) for name in QUANTITIES}
    return Seen(
        source=batches[0][0].source,
        batches=tuple(kept for kept, _ in batches),
        cells={name: cells for name, (cells, _) in pairs.items()},
        told_n={name: told_n for name, (_, told_n) in pairs.items()},
    )


def _between(batches: Batches, name: str, bounds_s: Row) -> tuple[Row, Row]:
    """Return one quantity between bounds, and the position that told it last."""
    from_s, until_s, cells, told_n = _latest(batches, name)
    mean = between(cells, from_s=from_s, until_s=until_s, bounds_s=bounds_s, name=name)
    row = np.maximum(np.searchsorted(from_s, bounds_s[1:]) - 1, 0)
    return mean, told_n[row] if from_s.size else np.zeros_like(mean)


def _latest(batches: Batches, name: str) -> tuple[Row, Row, Row, Row]:
    """Return the readings in order of time, each as it was told last."""
    from_s = np.concatenate([rows.from_s for _, rows in batches])
    until_s = np.concatenate([rows.until_s for _, rows in batches])
    cells = np.concatenate([quantity(rows, name) for _, rows in batches])
    told_n = np.repeat(
        [float(kept.position_n) for kept, _ in batches],
        [rows.from_s.size for _, rows in batches],
    )
    known = np.flatnonzero(np.isfinite(cells))
    _, back = np.unique(from_s[known[::-1]], return_index=True)
    last = known[::-1][back]
    next_s = np.append(from_s[last][1:], np.inf)
    ends_s = np.minimum(until_s[last], next_s)
    return from_s[last], ends_s, cells[last], told_n[last]
