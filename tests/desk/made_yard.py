"""A made yard in a book of its own, for tests. All of it is invented."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np

from arbuscula.kinds.events import KIND_OF, Event, Sort
from arbuscula.kinds.forecast import Batch, WeatherSort
from arbuscula.kinds.place import Bench, Exposure, Yard
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.tree import Tree
from arbuscula.kinds.weather import WeatherRows
from arbuscula.ledger.book import append
from arbuscula.start import desk_at
from arbuscula.weather.archive import add_batch

BEGUN = datetime(2026, 6, 1, 6, tzinfo=UTC)
NOW = datetime(2026, 7, 8, 6, 10, tzinfo=UTC)  # 8:10 on the terrace
POT = Pot(shape="oval", length_mm=200, width_mm=150, depth_mm=50)
PEATY = {"peat": 1.0, "pine-bark": 1.0}
HOUR_S = 3600.0


def event(event_id, sort, subject, facts, happened, written=None):
    return Event(
        id=event_id,
        sort=sort,
        subject=subject,
        kind=KIND_OF[type(facts)],
        happened=happened,
        written=written or happened,
        facts=facts,
    )


def yard(**changed):
    usual = Yard(
        name="Stone Stair",
        latitude_deg=45.7,
        longitude_deg=13.8,
        elevation_m=210.0,
        timezone="Europe/Rome",
    )
    return replace(usual, **changed)


def desk_with(home, *, now=NOW, trees_n=6, benches=("terrace",), yard_said=None):
    """Return a desk whose book holds a yard with trees on its benches."""
    desk = replace(desk_at(home), clock=lambda: now)
    said = yard_said or yard()
    events = [event("y", Sort.YARD, "stair", said, BEGUN)]
    for n, name in enumerate(benches):
        exposure = Exposure.WINDOW if name == "sill" else Exposure.OPEN
        bench = Bench(yard="stair", name=name.title(), exposure=exposure, order_n=n)
        events.append(event(f"b-{name}", Sort.BENCH, name, bench, BEGUN))
        for place in range(1, trees_n + 1):
            key = f"{name}-{place}"
            tree = Tree(
                species="ficus-microcarpa",
                bench=name,
                place_n=float(place),
                label=f"{name[0].upper()}{place}",
                pot=POT,
                mix=PEATY,
                crown="small",
            )
            events.append(event(f"t-{key}", Sort.TREE, key, tree, BEGUN))
    append(desk.ledger(), *events)
    return desk


def rows(from_at, hours_n, *, members_n=None, night_c=14.0, spread_c=0.0, rain_mm=0.0):
    """Return hourly weather of warm days; members differ by their nights."""
    from_s = from_at.timestamp() + np.arange(hours_n) * HOUR_S
    local = (from_s / HOUR_S + 2) % 24
    wave = np.clip(np.sin(np.pi * (local - 6) / 13), 0, None)
    low = np.full((members_n or 1, 1), night_c)
    if members_n:
        low = low + spread_c * np.linspace(-1, 1, members_n)[:, np.newaxis]
    parts = {
        "air_temperature_c": low + 12 * wave,
        "relative_humidity_frac": 0.85 - 0.4 * wave + 0 * low,
        "wind_speed_2m_m_s": 1.0 + wave + 0 * low,
        "rain_mm": rain_mm + 0 * wave + 0 * low,
        "shortwave_w_m2": 750 * wave + 0 * low,
    }
    if not members_n:
        parts = {name: part[0] for name, part in parts.items()}
    return WeatherRows(from_s=from_s, until_s=from_s + HOUR_S, **parts)


def observe(desk, from_at=BEGUN, until_at=NOW, **how):
    hours_n = int((until_at - from_at) / timedelta(hours=1))
    told = rows(from_at, hours_n, **how)
    add_batch(desk.archive(), batch("station", WeatherSort.OBSERVED, told, until_at))


def forecast(desk, from_at=NOW, hours_n=96, issued=None, **how):
    told = rows(from_at.replace(minute=0), hours_n, **how)
    issued = issued or from_at
    add_batch(desk.archive(), batch("made", WeatherSort.FORECAST, told, issued))


def batch(source, sort, told, at):
    return Batch(
        yard="stair",
        source=source,
        sort=sort,
        issued_s=at.timestamp(),
        read_s=at.timestamp(),
        attribution="invented",
        rows=told,
    )
