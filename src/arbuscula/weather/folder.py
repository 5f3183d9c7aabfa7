"""Folder: files, or one page, that one's own station keeps filling."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar, Final

import numpy as np

from arbuscula.kinds.forecast import (
    Ask,
    Batch,
    Heard,
    StationMap,
    Validity,
)
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.weather import WeatherRows
from arbuscula.strict.text import text_of_file
from arbuscula.weather.fetch import NOT_MODIFIED, fetch
from arbuscula.weather.packed import (
    QUANTITIES,
    TIMES,
    observed_batch,
    quantity,
    rows_from,
)
from arbuscula.weather.station import station_rows

PAGES: Final = ("http://", "https://")
PATTERN: Final = "*.csv"


@dataclass(frozen=True, slots=True, kw_only=True)
class Folder:
    """Where the station writes, and how to read it."""

    place: str  # a folder, a file, or the address of a page
    how: StationMap

    key: ClassVar[str] = "folder"
    attribution: ClassVar[str] = ""
    terms: ClassVar[Said] = Said("weather.terms_own", {"source": "folder"})

    def hear(self, ask: Ask) -> Heard:
        """Read what has changed since the last time."""
        is_same_place = ask.earlier.address == self.place
        last_modified = ask.earlier.last_modified if is_same_place else ""
        if self.place.startswith(PAGES):
            return self._from_page(ask, last_modified)
        return self._from_files(ask, last_modified)

    def _from_page(self, ask: Ask, last_modified: str) -> Heard:
        page = fetch(
            self.place,
            last_modified=last_modified,
            silent_s=ask.silent_s,
            longest_s=ask.longest_s,
        )
        validity = Validity(
            address=self.place, last_modified=page.last_modified or last_modified
        )
        if page.status == NOT_MODIFIED:
            return Heard(batches=(), validity=validity)
        text = page.body.decode("utf-8-sig", "replace")
        name = self.place.rpartition("/")[2]
        return _heard(ask, [(name, text)], self.how, validity)

    def _from_files(self, ask: Ask, last_modified: str) -> Heard:
        stamps = _stamps_ns(Path(self.place))
        seen_ns = int(last_modified or 0)
        changed = [path for path, stamp in stamps.items() if stamp > seen_ns]
        latest_ns = max(stamps.values(), default=seen_ns)
        validity = Validity(address=self.place, last_modified=f"{latest_ns}")
        texts = [(path.name, text_of_file(path)) for path in sorted(changed)]
        return _heard(ask, texts, self.how, validity)


def _stamps_ns(place: Path) -> dict[Path, int]:
    """Return when each file of a folder, or the one that was named, was written."""
    try:
        files = [place] if place.is_file() else [*place.glob(PATTERN)]
        stamps = {path: path.stat().st_mtime_ns for path in files if path.is_file()}
    except OSError:
        stamps = {}
    if not stamps:
        raise ArbusculaError(Said("weather.folder_empty", {"file": str(place)}))
    return stamps


def _heard(
    ask: Ask, texts: list[tuple[str, str]], how: StationMap, validity: Validity
) -> Heard:
    batches: list[Batch] = []
    notes: list[Said] = []
    for name, text in texts:
        lines = _whole_lines(text)
        if lines.strip().count("\n"):  # more than the head
            rows, told = station_rows(lines, how, name=name)
            notes += told
            batches += _batches(ask, rows)
    return Heard(batches=tuple(batches), notes=tuple(notes), validity=validity)


def _whole_lines(text: str) -> str:
    """Return the text without a last line that is still being written."""
    return text[: text.rfind("\n") + 1] or text


def _batches(ask: Ask, rows: WeatherRows) -> Iterator[Batch]:
    """Yield the rows of the time that is asked about, if there are any."""
    wanted = np.flatnonzero(rows.until_s > ask.from_s)
    if wanted.size:
        parts = (quantity(rows, name)[wanted] for name in (*TIMES, *QUANTITIES))
        yield observed_batch(
            rows_from(parts), yard=ask.yard, source=Folder.key, now_s=ask.now_s
        )
