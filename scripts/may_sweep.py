"""Ask for every technique on every day of a year, in three cities.

`python -m scripts.may_sweep [SPECIES]` prints how many days of each month say yes,
for a strong tree in the open to which nothing else was done; its roots were seen
full and well, and it is wired. First the phase is as season and light say it, then
as somebody who saw buds swell a week ago would have it.
"""

import sys
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from arbuscula.desk import Desk
from arbuscula.desk.job_views import group_key, view_in_years
from arbuscula.desk.tree_years import bench_year, usual_year
from arbuscula.kinds.events import (
    KIND_OF,
    BudsSwelling,
    Event,
    Facts,
    RootsInspected,
    Sort,
)
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.technique import Verdict, Vigour
from arbuscula.kinds.weather import Spot
from arbuscula.rules.jobs import judge
from arbuscula.start import desk_at
from arbuscula.state.condition import terms_for
from arbuscula.state.years import FIRST, YEAR_D, BenchYear, tree_year
from arbuscula.weather.gazetteer import find_place

CITIES = ("Trieste", "Cape Town", "Singapore")
SPECIES = "ficus-microcarpa"
WEEK = timedelta(days=7)
ROOTS = RootsInspected(covered_frac=0.9, looks="healthy")
BENCH = Bench(yard="anywhere", name="terrace", exposure=Exposure.OPEN)


def year_at(desk: Desk, city: str) -> BenchYear:
    """Return the year of a terrace in a city."""
    place = find_place(desk.world(), city).place
    spot = Spot(
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        elevation_m=place.elevation_m,
    )
    return bench_year(desk, usual_year(desk, spot), BENCH, spot)


def sweep(
    desk: Desk, terrace: BenchYear, species: str = SPECIES, seen: Facts | None = None
) -> Mapping[str, list[Verdict]]:
    """Return the verdict on each technique on each day of a year."""
    library = desk.library()
    group = group_key(species, library)
    year = tree_year(terrace, library.species[species], library.groups[group], library)
    told: dict[str, list[Verdict]] = {key: [] for key in library.techniques}
    for n in range(YEAR_D):
        on = FIRST + timedelta(days=n)
        life = [_event(facts, on) for facts in (ROOTS, seen) if facts]
        view = replace(
            view_in_years(library, "tree", species, life, year, on),
            vigour=Vigour.GOOD,
            wired=on - WEEK,
        )
        for key, technique in library.techniques.items():
            terms = terms_for(technique, group)
            told[key].append(judge(key, technique, terms, view, library.care).verdict)
    return told


def _event(facts: Facts, on: date) -> Event:
    """Return what was seen a week before."""
    seen = datetime(on.year, on.month, on.day, tzinfo=UTC) - WEEK
    kind = KIND_OF[type(facts)]
    return Event(
        id=kind,
        sort=Sort.TREE,
        subject="tree",
        kind=kind,
        happened=seen,
        written=seen,
        facts=facts,
    )


def months_of(days: list[Verdict]) -> list[int]:
    """Return how many days of each month say yes."""
    months = np.array([(FIRST + timedelta(days=n)).month for n in range(YEAR_D)])
    said = np.array([verdict is Verdict.YES for verdict in days])
    return [int(said[months == month].sum()) for month in range(1, 13)]


def lines(desk: Desk, species: str) -> Iterator[str]:
    """Yield the tables, city by city."""
    names = " ".join(f"{month:>3}" for month in "JFMAMJJASOND")
    for seen, words in ((None, "as season says"), (BudsSwelling(), "buds were seen")):
        for city in CITIES:
            yield f"\n{city}, {words}: days of each month that say yes"
            yield f"{'':18}{names}"
            terrace = year_at(desk, city)
            for key, days in sweep(desk, terrace, species, seen).items():
                cells = " ".join(f"{n or '.':>3}" for n in months_of(days))
                never = "  never" if set(days) == {Verdict.NO} else ""
                yield f"{key:18}{cells}{never}"


if __name__ == "__main__":
    with TemporaryDirectory() as folder:
        said = sys.argv[1] if len(sys.argv) > 1 else SPECIES
        print("\n".join(lines(desk_at(Path(folder)), said)))
