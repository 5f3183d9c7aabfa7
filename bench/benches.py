"""How dear is a bench that is worked out, beside one of usual shares?

    python -m bench.benches

Prints ratios within one run: thirty days of hours for two hundred members on a
window, in a glasshouse, and a year by month, each over the plain shares.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np

from arbuscula.desk.bench_climate import bench_months, spot_of
from arbuscula.kinds.place import Bench, Exposure, Yard
from arbuscula.kinds.weather import WeatherRows
from arbuscula.microclimate.shelter import rows_on_bench
from arbuscula.start import desk_at
from arbuscula.weather.usual import usual_weather
from bench.timing import best_s

HOURS_N = 30 * 24
MEMBERS_N = 200
YARD = Yard(
    name="Stone Stair",
    latitude_deg=45.7,
    longitude_deg=13.8,
    elevation_m=210.0,
    timezone="Europe/Rome",
)
PLAIN = Bench(yard="stair", name="a bench", exposure=Exposure.GLASSHOUSE)
BENCHES = {
    "window": replace(PLAIN, exposure=Exposure.WINDOW, facing_deg=90.0),
    "glasshouse": replace(PLAIN, ventilation="vents", heat_to_c=8.0),
}


def month(desk, spot) -> WeatherRows:
    """Return a month of usual weather for many members."""
    begins_s = 1_783_555_200.0  # 9 July 2026
    until_s = begins_s + 3600.0 * HOURS_N
    return usual_weather(desk.world(), spot)(begins_s, until_s, None, MEMBERS_N)


def main():
    """Print what each bench costs."""
    desk = desk_at(Path("not-needed"))
    spot, shelters = spot_of(desk, YARD), desk.library().shelters
    rows = month(desk, spot)

    def on(bench):
        return rows_on_bench(rows, bench, shelters[bench.exposure], spot)

    plain_s = best_s(lambda: on(PLAIN), 5)
    for name, bench in BENCHES.items():
        ratio = best_s(lambda one=bench: on(one), 5) / plain_s
        print(f"{name}: {ratio:.1f} x the usual shares")
    year_s = best_s(lambda: bench_months(desk, YARD, BENCHES["window"]))
    hours_n = 20 * 365 * 24
    per_hour = year_s / hours_n / (plain_s / (HOURS_N * MEMBERS_N))
    print(f"a year by month, with roots: {per_hour:.1f} x, for each hour")
    print(f"{np.size(rows.shortwave_w_m2)} hours by shares: {plain_s * 1000:.0f} ms")


if __name__ == "__main__":
    main()
