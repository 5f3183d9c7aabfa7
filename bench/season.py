"""How dear is a season, beside the weather that it is counted in?

    python bench/season.py [places]

Prints the first answer of a fresh process once NumPy is in, with and without the
imports; then many places, in seconds for 10,000 of them and as a ratio to drawing
their nights and days alone, in the same run.
"""

import sys
from datetime import date
from pathlib import Path
from time import perf_counter

import numpy as np


def main():
    """Print the times, and the ratio."""
    begun = perf_counter()
    from arbuscula.desk.season import BATCH_N, MANY_YEARS_N, season, seasons
    from arbuscula.start import desk_at
    from arbuscula.weather.generator import nights_and_days
    from arbuscula.weather.names import place_of
    from arbuscula.weather.normals import by_day, normals_at

    desk = desk_at(Path("nowhere"))
    imported = perf_counter()
    season(desk, "Bergen")
    first = perf_counter()
    season(desk, "Cape Town")
    second = perf_counter()
    print(f"imports {(imported - begun) * 1e3:.0f} ms", end=", ")
    print(f"first answer {(first - imported) * 1e3:.0f} ms", end=", ")
    print(f"the next {(second - first) * 1e3:.0f} ms")

    places_n = int(sys.argv[1]) if len(sys.argv) > 1 else 640
    world = desk.world()
    rows = np.linspace(0, len(world.gazetteer.latitude_deg) - 1, places_n).astype(int)
    places = [place_of(world.gazetteer, int(row)) for row in rows]
    begun = perf_counter()
    seasons(desk, places)
    took_s = perf_counter() - begun

    bare_s = 0.0
    for n in range(0, places_n, BATCH_N):
        here = rows[n : n + BATCH_N]
        usual = by_day(
            normals_at(
                world,
                latitude_deg=world.gazetteer.latitude_deg[here],
                longitude_deg=world.gazetteer.longitude_deg[here],
                elevation_m=world.gazetteer.elevation_m[here],
            )
        )
        begun = perf_counter()
        nights_and_days(
            usual,
            world.figures.generator,
            rng=np.random.default_rng(n),
            members_n=MANY_YEARS_N,
            first=date(2025, 1, 1),
            days_n=385,
        )
        bare_s += perf_counter() - begun
    print(
        f"{places_n} places of {MANY_YEARS_N} years: {took_s / places_n * 1e4:.1f} s "
        f"for 10,000, {took_s / bare_s:.2f} times the weather alone"
    )


if __name__ == "__main__":
    main()
