"""Measure what may not be slow, and write it down with the machine it ran on.

    python -m bench.run                   # writes docs/performance.md, some minutes
    python -m bench.run --trees 40,160    # other sizes of yard
    python -m bench.run --print           # shows it only

Every time is the best of several. What says most are the ratios: a time over the
least that this machine's arithmetic could do in, measured in the same run.
"""

import os
import platform
import resource
import subprocess
import sys
from argparse import ArgumentParser
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from arbuscula.desk import Desk
from arbuscula.desk.bench import BenchWish, add_bench
from arbuscula.desk.demo.made_weather import batches_of, made_weather
from arbuscula.desk.names import known_from
from arbuscula.desk.record import RecordWish, record
from arbuscula.desk.today import today
from arbuscula.desk.yard import add_yard
from arbuscula.kinds.events import Event, Sort, Watered
from arbuscula.kinds.weather import Spot
from arbuscula.ledger.book import all_events, append
from arbuscula.start import desk_at
from arbuscula.state.trees import MEMBERS_N
from arbuscula.weather.archive import add_batch
from bench import kernel
from bench.balance import step_in_passes
from bench.timing import best_s

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs/performance.md"
AT = datetime(2026, 7, 8, 6, 10, tzinfo=UTC)
STEP_PASSES_N = 60  # of a pot's hour, counted in its formulas
WARM_H = 48 + 120  # followed anew from a snapshot, and ahead
FIG = {"species": "ficus-microcarpa", "pot": "oval 18 cm", "mix": "1 peat, 1 pumice"}
EVENTS_N = (500, 2000, 8000)
PER_BENCH_N = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One row of the page."""

    what: str
    took: str
    budget: str
    beside: str


def exponent(sizes: Sequence[float], took_s: Sequence[float]) -> float:
    """Return how a cost grows: 1 is in proportion, 2 with the square."""
    return float(np.polyfit(np.log(sizes), np.log(took_s), 1)[0])


def shell_s(home: Path, *words: str, times: int = 5) -> float:
    """Return what a command takes from a cold shell, at the best."""
    env = {**os.environ, "ARBUSCULA_HOME": str(home)}
    command = [sys.executable, "-m", "arbuscula", *words]

    def run() -> None:
        subprocess.run(command, env=env, check=True, capture_output=True)

    return best_s(run, times)


def yard_of(home: Path, trees_n: int) -> Desk:
    """Return a desk with so many figs, and two months of weather and a forecast."""
    desk = replace(desk_at(home), clock=lambda: AT)
    yard = add_yard(desk, "Stone Stair", "Trieste").yard
    for n in range(0, trees_n, PER_BENCH_N):
        name, count = f"Bench {n // PER_BENCH_N + 1}", min(PER_BENCH_N, trees_n - n)
        since = "2026-05-01"
        wish = BenchWish(name=name, trees_n=count, each=FIG, since=since)
        add_bench(desk, wish)
    spot = Spot(
        latitude_deg=yard.latitude_deg,
        longitude_deg=yard.longitude_deg,
        elevation_m=yard.elevation_m or 0.0,
    )
    begins = datetime(2026, 5, 1, tzinfo=UTC)
    for batch in batches_of(
        made_weather(desk.world(), spot, begins, AT), yard.name, AT
    ):
        add_batch(desk.archive(), batch)
    return desk


def trees(sizes: Sequence[int], bare_s: float) -> Iterator[Measured]:
    """Yield the round of yards of several sizes, first and from a snapshot."""
    cold_s, warm_s = [], []
    for trees_n in sizes:
        with TemporaryDirectory() as folder:
            desk = yard_of(Path(folder), trees_n)
            cold_s.append(best_s(lambda d=desk: today(d), times=1))
            warm_s.append(best_s(lambda d=desk: today(d)))
            least_s = WARM_H * trees_n * MEMBERS_N * STEP_PASSES_N * bare_s
            yield Measured(
                what=f"`today`, {trees_n} trees, from a snapshot, in one process",
                took=f"{warm_s[-1]:.2f} s (the first time {cold_s[-1]:.1f} s)",
                budget="10,000 trees 5 s" if trees_n == max(sizes) else "",
                beside=f"{warm_s[-1] / least_s:.1f} x the arithmetic of its pots",
            )
            if trees_n == min(sizes):
                yield from _from_a_shell(Path(folder), trees_n)
            desk.ledger().engine.dispose()
    grows, grew = exponent(sizes, warm_s), exponent(sizes, cold_s)
    yield Measured(
        what="cost with the number of trees, as a power of it",
        took=f"{grows:.2f} (the first time {grew:.2f})",
        budget="1",
        beside="below 1: the start weighs more in a small yard",
    )


def _from_a_shell(home: Path, trees_n: int) -> Iterator[Measured]:
    at = AT.isoformat()
    took_s, bare_s = shell_s(home, "today", "--at", at), shell_s(home, "--version")
    yield Measured(
        what=f"`today`, {trees_n} trees, from a cold shell with a snapshot",
        took=f"{took_s:.2f} s",
        budget="0.6 s",
        beside=f"{took_s / bare_s:.1f} x `--version` ({bare_s:.2f} s)",
    )


def events() -> Iterator[Measured]:
    """Yield what writing one more event takes in ever longer books."""
    record_s, read_s = [], []
    for events_n in EVENTS_N:
        with TemporaryDirectory() as folder:
            desk = yard_of(Path(folder), 40)
            append(desk.ledger(), *_waterings(events_n))
            wish = RecordWish(subject="B1-4", words=("check", "half"))
            record_s.append(best_s(lambda d=desk, w=wish: record(d, w)))
            read_s.append(best_s(lambda d=desk: known_from(all_events(d.ledger()))))
            desk.ledger().engine.dispose()
        yield Measured(
            what=f"`record` of one event in a book of {events_n}",
            took=f"{record_s[-1] * 1e3:.0f} ms",
            budget="",
            beside=f"{record_s[-1] / read_s[-1]:.1f} x reading the book once",
        )
    yield Measured(
        what="cost with the number of events, as a power of it",
        took=f"{exponent(EVENTS_N, record_s):.2f}",
        budget="1",
        beside=f"reading alone {exponent(EVENTS_N, read_s):.2f}",
    )


def _waterings(events_n: int) -> list[Event]:
    begins = datetime(2026, 5, 2, tzinfo=UTC)
    return [
        Event(
            id=f"w-{n}",
            sort=Sort.TREE,
            subject=f"B1-{1 + n % 40}",
            kind="watered",
            happened=begins + timedelta(minutes=10 * n),
            written=AT,
            facts=Watered(),
        )
        for n in range(events_n)
    ]


def demos() -> Iterator[Measured]:
    """Yield the first and the second morning of the demo, from a cold shell."""
    with TemporaryDirectory() as folder:
        home, words = Path(folder) / "home", ("demo", "--date", "2026-10-24")
        first_s = shell_s(home, *words, times=1)
        yield Measured(
            what="`demo`: a book of two years is made, and its round said",
            took=f"{first_s:.1f} s",
            budget="10 s",
            beside=f"again: {shell_s(home, *words, times=2):.1f} s",
        )


def seasons() -> Iterator[Measured]:
    """Yield the season of a place from a cold shell."""
    with TemporaryDirectory() as folder:
        took_s = shell_s(Path(folder), "season", "Bergen", times=2)
        yield Measured(
            what="`season`, a place anywhere, from a cold shell",
            took=f"{took_s:.1f} s",
            budget="",
            beside="200 years of nights and days",
        )


def pots() -> tuple[Measured, float]:
    """Return a step of the pot beside its bare arithmetic, and what that takes."""
    lanes_n = 200_000
    step_s, bare_s = step_in_passes(lanes_n)
    return (
        Measured(
            what=f"one hour of {lanes_n:,} pots (float64, one thread)",
            took=f"{step_s * 1e3:.1f} ms",
            budget="",
            beside=f"{step_s / bare_s / STEP_PASSES_N:.1f} x "
            f"{STEP_PASSES_N} bare passes of {bare_s * 1e6:.0f} µs",
        ),
        bare_s / lanes_n,
    )


def kernels() -> Iterator[Measured]:
    """Yield the compiled kernel beside its bound and beside the reference."""
    with TemporaryDirectory() as folder:
        for what, took, budget, beside in kernel.measured(Path(folder)):
            yield Measured(what=what, took=took, budget=budget, beside=beside)


def machine() -> str:
    """Return what this ran on, and what else ran on it."""
    names = Path("/proc/cpuinfo")
    lines = names.read_text().splitlines() if names.exists() else []
    model = next((x.partition(": ")[2] for x in lines if "model name" in x), "unknown")
    load = ", ".join(f"{x:.1f}" for x in os.getloadavg())
    return (
        f"{os.cpu_count()} x {model}, {platform.system()} {platform.release()}, "
        f"Python {platform.python_version()}, NumPy {np.__version__}. "
        f"Load of the machine when it began: {load} (1, 5, 15 minutes)."
    )


def page(sizes: Sequence[int]) -> str:
    """Return the whole page."""
    ran_on = machine()
    pot, bare_s = pots()
    rounds = list(trees(sizes, bare_s))
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
    memory = Measured(
        what=f"memory at its largest, {max(sizes)} trees",
        took=f"{peak_mb:,.0f} MB",
        budget="10,000 trees 1 GB",
        beside=f"{MEMBERS_N} members a tree",
    )
    rows = [pot, *kernels(), *rounds, *events(), *demos(), *seasons()]
    table = "\n".join(
        f"| {row.what} | {row.took} | {row.budget} | {row.beside} |"
        for row in (*rows, memory)
    )
    return PROSE.format(machine=ran_on, table=table)


PROSE = """\
# Performance

Written by `python -m bench.run`. A number holds for the machine and the hour that it
was measured on; a ratio says more, since both its sides were measured in one run.

{machine}

| what | took | budget | beside |
|---|---|---|---|
{table}

*The arithmetic of its pots* is the least that a round could take here: the hours from
the last snapshot and ahead, times trees, times members, times the multiply-adds of a
pot's hour, at the speed of one bare pass over memory. The kernel's bound is another:
the operations of a pot's hour, counted in its own text and paired as products and
sums may be, at the speed of bare multiply-adds out of the same compiler. From 1,000
trees on the kernel does the work, where Numba is installed
([why and how](decisions/0006-one-text-compiled.md)). A warm `today` loads no pvlib,
pandas, SciPy, Numba or Alembic (`tests/selfcheck/test_imports.py`).

## What is not held, and what is not measured

- From a cold shell most of the time goes into loading NumPy and SQLAlchemy, which no
  round can do without; the round itself is the row above it.
- `today` of ten thousand trees: the arithmetic of their pots is a small part of
  it, the rest is done tree by tree in the desk; benches that differ cost more.
- The first round of a yard follows every pot through up to three months of hours.
  Later ones begin at a snapshot.
- `record` replays the book, so its cost grows with the book's length.
- The simulated year of a tree's form, the year's plan and two workers
  have no verb yet; there is nothing to measure.
- Pages are measured by `bench/web.py` and `bench/paint.py`; see [web](web.md).
"""


def main() -> None:
    """Measure, and write the page."""
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--trees", default="40,160,640,10000")
    parser.add_argument("--print", action="store_true", dest="shown")
    told = parser.parse_args()
    text = page([int(n) for n in told.trees.split(",")])
    if told.shown:
        print(text)
    else:
        PAGE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
