"""Compose: the weather of a yard, without a gap, from all that was told.

Observed is taken where it is, then the freshest forecast of the source that is
trusted most, then the usual weather of the place.
"""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from hashlib import sha256
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.forecast import (
    Fill,
    ForecastFigures,
    Kept,
    Stretch,
    WeatherSort,
    YardWeather,
)
from arbuscula.kinds.weather import Row
from arbuscula.strict.kinds import kind_from_toml, table_from_toml
from arbuscula.strict.text import text_of_file
from arbuscula.units import HOUR_S
from arbuscula.weather.archive import Archive, batches, observed_between, rows_of
from arbuscula.weather.bounds import whole_hours
from arbuscula.weather.join import (
    USUAL,
    Origin,
    Sheet,
    cells_between,
    joined,
)
from arbuscula.weather.local import (
    LocalShift,
    error_ratio,
    shifted_ahead,
    shifted_fill,
)
from arbuscula.weather.observed import Batches, seen_by_source
from arbuscula.weather.packed import QUANTITIES, quantity, rows_from
from arbuscula.weather.spread import spread_out

BEFORE_S: Final = 48 * HOUR_S  # of known weather, to lead on from
OWN: Final = ("thermometer", "sensors", "station", "folder")  # before any service

Ranks = Mapping[str, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Question:
    """Whose weather is asked for, as it was known when."""

    archive: Archive
    yard: str
    as_of_s: float
    upto_n: int | None
    ranks: Ranks
    members_n: int
    figures: ForecastFigures
    local: LocalShift | None


def yard_weather(
    archive: Archive,
    yard: str,
    from_s: float,
    until_s: float,
    *,
    as_of_s: float,
    fill: Fill,
    members_n: int,
    preferred: Sequence[str] = OWN,
    upto_n: int | None = None,
    figures: ForecastFigures | None = None,
    local: LocalShift | None = None,
) -> YardWeather:
    """Return the weather of a yard by the hour, as it was known at a time.

    `preferred` are sources, the most trusted first; the others come after them,
    all alike. With `upto_n` no batch after that position is looked at, so that
    an answer can be had again even after a clock went back. With `local` coming
    nights are moved, those of forecasts and of the usual weather.

    Shape: members first, rows last; what was observed is the same for all.
    """
    question = _Question(
        archive=archive,
        yard=yard,
        as_of_s=as_of_s,
        upto_n=upto_n,
        ranks={source: n - len(preferred) for n, source in enumerate(preferred)},
        members_n=members_n,
        figures=figures or forecast_figures(),
        local=local,
    )
    fill = shifted_fill(fill, local) if local else fill
    sheet = _sheet(question, _bounds_s(from_s, until_s))
    asked_n = int(np.searchsorted(sheet.bounds_s, from_s))
    cells = joined(
        sheet,
        fill=fill,
        start_n=_first_known_n(sheet, asked_n),
        members_n=members_n,
        joining_h=question.figures.joining_h.value,
    )
    asked = replace(
        sheet, bounds_s=sheet.bounds_s[asked_n:], chosen=sheet.chosen[:, asked_n:]
    )
    return _answer(question, asked, cells[..., asked_n:])


@cache
def forecast_figures() -> ForecastFigures:
    """Return the library's figures on how far forecasts are off."""
    folder = Path(str(files("arbuscula"))) / "library"
    sources = folder / "sources.toml"
    return kind_from_toml(
        text_of_file(folder / "forecast.toml"),
        ForecastFigures,
        name="forecast.toml",
        sources=table_from_toml(text_of_file(sources), name=sources.name),
    )


def _bounds_s(from_s: float, until_s: float) -> Row:
    before = whole_hours((from_s - BEFORE_S) // HOUR_S * HOUR_S, from_s)
    return np.concatenate([before[:-1], whole_hours(from_s, until_s)])


def _sheet(question: _Question, bounds_s: Row) -> Sheet:
    """Return the hours with whose word is taken for each."""
    chosen = np.full((len(QUANTITIES), bounds_s.size - 1), USUAL)
    sheet = Sheet(bounds_s=bounds_s, origins=[], chosen=chosen)
    archive, yard = question.archive, question.yard
    as_of_s, upto_n = question.as_of_s, question.upto_n
    span_s = (float(bounds_s[0]), float(bounds_s[-1]))
    seen = observed_between(archive, yard, *span_s, as_of_s=as_of_s, upto_n=upto_n)
    _take_observed(sheet, seen, question.ranks)
    told = batches(archive, yard, as_of_s=as_of_s, upto_n=upto_n)
    since_s = span_s[0] - question.figures.fresh_h.value * HOUR_S
    for kept in _forecasts_in_turn(told, question.ranks, since_s):
        wanted = _wanted(sheet, kept, question)
        if wanted.any():
            _take_forecast(sheet, kept, wanted, question)
    return sheet


def _take_observed(sheet: Sheet, seen: Batches, ranks: Ranks) -> None:
    """Choose for each hour the source trusted most, of several the latest."""
    best_n = np.full(sheet.chosen.shape, np.inf)
    latest_n = np.zeros(sheet.chosen.shape)
    for source in seen_by_source(seen, sheet.bounds_s):
        rank_n = ranks.get(source.source, 0)
        cells = np.stack([source.cells[name] for name in QUANTITIES])
        told_n = np.stack([source.told_n[name] for name in QUANTITIES])
        later = (rank_n == best_n) & (told_n > latest_n)
        better = np.isfinite(cells) & ((rank_n < best_n) | later)
        sheet.chosen[better] = len(sheet.origins)
        best_n[better] = rank_n
        latest_n[better] = told_n[better]
        sheet.origins.append(
            Origin(
                kept=source.batches[-1],
                used=source.batches,
                first_n=0,
                cells=cells[:, None],
            )
        )


def _forecasts_in_turn(
    told: Iterable[Kept], ranks: Ranks, since_s: float
) -> list[Kept]:
    """Return the forecasts, the most trusted first, and the freshest of these."""
    forecasts = [kept for kept in told if kept.sort is WeatherSort.FORECAST]
    return sorted(
        [kept for kept in forecasts if kept.issued_s >= since_s],
        key=lambda k: (ranks.get(k.source, 0), -k.issued_s, -k.position_n),
    )


def _wanted(sheet: Sheet, kept: Kept, question: _Question) -> NDArray[np.bool_]:
    """Return where a forecast is wanted, reaches and was fresh when it counted."""
    from_s, until_s = sheet.bounds_s[:-1], sheet.bounds_s[1:]
    reaches = (until_s > kept.from_s) & (from_s < kept.until_s)
    counted_s = np.minimum(until_s, question.as_of_s)
    fresh_s = question.figures.fresh_h.value * HOUR_S
    return (sheet.chosen == USUAL) & reaches & (counted_s - kept.issued_s <= fresh_s)


def _take_forecast(
    sheet: Sheet, kept: Kept, wanted: NDArray[np.bool_], question: _Question
) -> None:
    """Take what a forecast tells of the wanted hours, and of one on either side."""
    hours = np.flatnonzero(wanted.any(axis=0))
    first_n, end_n = max(int(hours[0]) - 1, 0), min(hours[-1] + 2, wanted.shape[1])
    bounds_s = sheet.bounds_s[first_n : end_n + 1]
    told = cells_between(rows_of(question.archive, kept.position_n), bounds_s)
    rows = rows_from([bounds_s[:-1], bounds_s[1:], *told])
    spread = spread_out(
        rows,
        kept,
        question.figures,
        as_of_s=question.as_of_s,
        members_n=question.members_n,
        air_ratio=error_ratio(rows, question.local),
    )
    spread = shifted_ahead(spread, question.local) if question.local else spread
    cells = np.stack([quantity(spread, name) for name in QUANTITIES])
    taken = wanted[:, first_n:end_n] & np.isfinite(cells).all(axis=1)
    sheet.chosen[:, first_n:end_n][taken] = len(sheet.origins)
    sheet.origins.append(Origin(kept=kept, used=(kept,), first_n=first_n, cells=cells))


def _first_known_n(sheet: Sheet, asked_n: int) -> int:
    """Return the hour from which all is known without a gap up to the asked one."""
    unknown = np.flatnonzero((sheet.chosen[:, :asked_n] == USUAL).any(axis=0))
    return int(unknown[-1]) + 1 if unknown.size else 0


def _answer(question: _Question, sheet: Sheet, cells: Row) -> YardWeather:
    stretches = tuple(_stretches(sheet, question.as_of_s))
    told = {n for n in np.unique(sheet.chosen).tolist() if n != USUAL}
    used = {kept.position_n: kept for n in told for kept in sheet.origins[n].used}
    in_order = [used[position_n] for position_n in sorted(used)]
    return YardWeather(
        rows=rows_from([sheet.bounds_s[:-1], sheet.bounds_s[1:], *cells]),
        stretches=stretches,
        used=tuple(sorted(used)),
        digest=_digest(question, sheet, stretches, in_order),
        attributions={kept.source: kept.attribution for kept in in_order},
    )


def _stretches(sheet: Sheet, as_of_s: float) -> Iterator[Stretch]:
    """Return who told what and when, in order of time."""
    found = [
        _stretch(sheet, origin_n, *run, as_of_s)
        for origin_n in np.unique(sheet.chosen).tolist()
        for run in _runs_of(sheet.chosen == origin_n)
    ]
    order = {name: n for n, name in enumerate(QUANTITIES)}
    found.sort(key=lambda s: (s.from_s, order[s.quantities[0]]))
    yield from found


def _runs_of(taken: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    """Return hours in a row in which the same quantities are taken, if any."""
    same = (taken[:, 1:] == taken[:, :-1]).all(axis=0)
    ends = [0, *(np.flatnonzero(~same) + 1).tolist(), taken.shape[1]]
    for first_n, end_n in pairwise(ends):
        if taken[:, first_n].any():
            yield first_n, end_n


def _stretch(
    sheet: Sheet, origin_n: int, first_n: int, end_n: int, as_of_s: float
) -> Stretch:
    kept = None if origin_n == USUAL else sheet.origins[origin_n].kept
    taken = sheet.chosen[:, first_n] == origin_n
    return Stretch(
        from_s=float(sheet.bounds_s[first_n]),
        until_s=float(sheet.bounds_s[end_n]),
        source=kept.source if kept else WeatherSort.NORMALS.value,
        sort=kept.sort if kept else WeatherSort.NORMALS,
        age_h=(as_of_s - kept.issued_s) / HOUR_S if kept else None,
        members_n=kept.members_n if kept else 0,
        quantities=tuple(n for n, has in zip(QUANTITIES, taken, strict=True) if has),
    )


def _digest(
    question: _Question,
    sheet: Sheet,
    stretches: Sequence[Stretch],
    used: Sequence[Kept],
) -> str:
    """Return the digest of all that the rows hang on, but the usual weather.

    What was observed does not age; a forecast does.
    """
    ages = any(stretch.sort is WeatherSort.FORECAST for stretch in stretches)
    asked = [question.yard, question.members_n, *sheet.bounds_s[[0, -1]].tolist()]
    parts = [[s.from_s, s.until_s, s.source, s.quantities] for s in stretches]
    told = [kept.digest for kept in used]
    told += [repr(question.local)] if question.local else []
    text = json.dumps([asked, parts, told, question.as_of_s if ages else None])
    return sha256(text.encode()).hexdigest()
