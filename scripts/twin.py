"""What checks teach, on made trees whose truth is known: `python scripts/twin.py`.

Made trees on made benches differ by something common to all, by bench, by mix
and each by itself; the program knows none of it. Each has an open soil of
its own, and days as uneven as days are: what really happens is one
course, not the middle of many. Every day some are lifted.
After ten days each tree is soaked, and the time until it is due is forecast.
The error is that of the logarithm of this time; a night's forecast is perfect.
"""

from dataclasses import dataclass, replace
from importlib.resources import files
from pathlib import Path

import click
import numpy as np

from arbuscula.catalog.library import read_library
from arbuscula.kinds.case import Plant
from arbuscula.kinds.events import Found
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.weather import Spot, WeatherRows
from arbuscula.state.learning.choice import check_first
from arbuscula.state.learning.evidence import felt
from arbuscula.state.learning.shared import (
    STRUCTURES,
    dryness_ln,
    taught_by_others,
)
from arbuscula.state.outlook import Lines, once_soaked, outlook, tenths_h
from arbuscula.state.pots import PottedTree, members_of_all
from arbuscula.state.pull import pull_of
from arbuscula.state.trees import (
    MEMBERS_N,
    Trees,
    advance,
    left_frac,
    shares_of,
    soaked,
    trees_of,
)

LIBRARY = read_library(Path(str(files("arbuscula"))) / "library")
SPOT = Spot(latitude_deg=45.7, longitude_deg=13.8, elevation_m=200.0)
MIXES = (
    {"pumice": 3.0, "akadama": 4.0, "pine-bark": 1.0},
    {"peat": 2.0, "pumice": 1.0},
    {"pine-bark": 1.0, "akadama": 1.0},
)
DAYS_N, AHEAD_H, ROUND_H, EVERY_D = 10, 240, 7, 3


@dataclass(frozen=True)
class World:
    """Made trees, what the program believes of them, and how they really are."""

    believed: Trees
    truth: Trees
    benches: list[str]
    mixes: list[str]
    pull: object
    real: int  # the one member of the truth that happens


@click.command()
@click.option("--trees", "trees_n", default=150)
@click.option("--checks", "checks_n", default=6, help="A day.")
@click.option("--seeds", "seeds_n", default=3)
def main(trees_n: int, checks_n: int, seeds_n: int) -> None:
    """Print the table."""
    worlds = {"alike": (0.30, 0.20, 0.12, 0.33), "unlike": (0.0, 0.0, 0.0, 0.51)}
    print(f"{trees_n} trees, {checks_n} lifts a day, {DAYS_N} days, {seeds_n} seeds")
    print(f"{'':34}{'never lifted':>14}{'all':>8}{'covered':>9}")
    for world, spread in worlds.items():
        for way in ("nobody looks", "at random", "chosen", "at random, not shared"):
            rows = [
                run(made(seed, trees_n, spread), way, checks_n, seed)
                for seed in range(seeds_n)
            ]
            unseen, every, inside = np.mean(rows, axis=0)
            print(f"{world + ', ' + way:34}{unseen:14.3f}{every:8.3f}{inside:9.2f}")


def made(seed: int, trees_n: int, spread: tuple[float, ...]) -> World:
    """Return a made world."""
    rng = np.random.default_rng(seed)
    bench_of, mix_of = rng.integers(0, 3, trees_n), rng.integers(0, 3, trees_n)
    names = [f"bench {n}" for n in range(3)]
    potted = [
        PottedTree(
            key=f"{seed}-{n}",
            species=LIBRARY.species["ficus-microcarpa"],
            pot=Pot(shape="oval", length_mm=200, width_mm=150, depth_mm=50),
            mix=MIXES[mix_of[n]],
            plant=Plant(leaf_area_m2=0.12),
        )
        for n in range(trees_n)
    ]
    pull = pull_of(
        weather(rng),
        SPOT,
        {b: Bench(yard="y", name=b, exposure=Exposure.OPEN) for b in names},
        [(b, "ficus-microcarpa") for b in names],
        LIBRARY,
    )
    common, bench, mix, own = spread
    off = common * rng.normal() + own * rng.normal(size=trees_n)
    off += (bench * rng.normal(size=3))[bench_of] + (mix * rng.normal(size=3))[mix_of]
    believed, truth = (trees_of(potted, LIBRARY, at_h=pull.first_h) for _ in range(2))
    for trees in (believed, truth):
        trees.pair = np.array(
            [pull.pairs[names[b], "ficus-microcarpa"] for b in bench_of]
        )
        trees.bench_keys = [names[b] for b in bench_of]
    own_surface = rng.permuted(truth.members.surface_ratio, axis=0)[0]
    middle = replace(
        truth.members,
        demand_ratio=np.tile(np.exp(off), (MEMBERS_N, 1)),
        surface_ratio=np.tile(own_surface, (MEMBERS_N, 1)),
        ball=replace(
            truth.members.ball,
            **{
                name: np.tile(
                    np.median(getattr(truth.members.ball, name), axis=0), (MEMBERS_N, 1)
                )
                for name in ("capacity_ml", "stop_ml", "stress_below_frac")
            },
        ),
    )
    truth.members = middle
    return World(
        believed=believed,
        truth=truth,
        benches=[names[b] for b in bench_of],
        mixes=[str(m) for m in mix_of],
        pull=pull,
        real=int(rng.integers(MEMBERS_N)),
    )


def weather(rng: np.random.Generator) -> WeatherRows:
    """Return made weather with fronts: dull days follow dull days."""
    hours_n = 24 * DAYS_N + AHEAD_H + 24
    days_n = hours_n // 24 + 1
    front = np.zeros(days_n)
    for day in range(1, days_n):
        front[day] = 0.6 * front[day - 1] + rng.normal(0, 0.5)
    clear = np.clip(0.65 + 0.3 * front, 0.1, 1)[np.arange(hours_n) // 24]
    hours = np.arange(hours_n)
    wave = np.sin(2 * np.pi * (hours % 24 - 9) / 24)
    from_s = 1_780_272_000.0 + hours * 3600.0
    return WeatherRows(
        from_s=from_s,
        until_s=from_s + 3600,
        air_temperature_c=18 + 4 * clear + (2 + 4 * clear) * wave,
        relative_humidity_frac=np.clip(0.85 - 0.25 * clear - 0.15 * wave, 0.2, 1),
        wind_speed_2m_m_s=1.5 + wave,
        rain_mm=np.zeros(hours_n),
        shortwave_w_m2=np.maximum(
            0, 850 * clear * np.sin(np.pi * (hours % 24 - 5) / 15)
        ),
    )


def run(world: World, way: str, checks_n: int, seed: int) -> tuple[float, float, float]:
    """Return the errors of those never lifted and of all, and the coverage."""
    rng = np.random.default_rng(1000 + seed)
    trees, truth, unknown = world.believed, world.truth, LIBRARY.demand.unknown
    lifted: set[int] = set()
    every = np.arange(len(trees.keys))
    for day in range(DAYS_N):
        at_h = world.pull.first_h + 24 * day + ROUND_H
        for some in (trees, truth):
            advance(some, world.pull, unknown, at_h)
        if day and way != "nobody looks":
            for place in whom(world, way, checks_n, rng):
                found = lift(left_frac(truth)[world.real, place], rng)
                felt(trees, place, found, LIBRARY.checks["lifted"], f"{day}-{place}")
                lifted.add(place)
        due = every[(every + day) % EVERY_D == 0]
        for some in (trees, truth):
            soaked(some, due, np.full(due.size, np.inf))
    if "not shared" not in way and way != "nobody looks":
        trees, _ = taught(world)
    lines = Lines(
        due_frac=np.full(every.size, 0.5), late_frac=np.full(every.size, 0.25)
    )
    until_h = trees.at_h + AHEAD_H
    told, came = (
        outlook(once_soaked(some), world.pull, lines, unknown, until_h=until_h)
        for some in (trees, truth)
    )
    low, middle, high = tenths_h(told.due_h, told.share) - trees.at_h
    true = came.due_h[world.real] - trees.at_h
    seen = np.isfinite(true) & np.isfinite(middle)
    miss = np.log(middle[seen] / true[seen]) ** 2
    unseen = np.array([place not in lifted for place in every])[seen]
    inside = (low <= true) & (true <= high)
    return np.sqrt(miss[unseen].mean()), np.sqrt(miss.mean()), inside[seen].mean()


def taught(world: World):  # noqa: ANN201
    """Return the trees as all evidence has them."""
    potted = members_of_all(
        [
            PottedTree(
                key=key,
                species=LIBRARY.species["ficus-microcarpa"],
                pot=Pot(shape="oval", length_mm=200, width_mm=150, depth_mm=50),
                mix=MIXES[int(mix)],
                plant=Plant(leaf_area_m2=0.12),
            )
            for key, mix in zip(world.believed.keys, world.mixes, strict=True)
        ],
        LIBRARY,
        members_n=MEMBERS_N,
    )
    return taught_by_others(world.believed, potted, world.benches, world.mixes)


def whom(world: World, way: str, checks_n: int, rng: np.random.Generator) -> list[int]:
    """Return the places of the trees to lift."""
    trees = world.believed
    if way != "chosen":
        return rng.choice(len(trees.keys), checks_n, replace=False).tolist()
    now, belief = taught(world)
    alike = np.full(len(STRUCTURES), 1 / len(STRUCTURES))
    return check_first(
        dryness_ln(now.members),
        shares_of(now),
        1 - left_frac(now),
        np.ones(len(trees.keys)),
        LIBRARY.checks["lifted"],
        alike=alike if belief is None else belief.alike,
        benches=world.benches,
        mixes=world.mixes,
        most_n=checks_n,
    )


def lift(left: float, rng: np.random.Generator) -> Found:
    """Return what a hand says, with its slips."""
    gone = 1 - left
    answers = (Found.LIGHT, Found.HALF, Found.HEAVY)
    if rng.random() < 0.03:
        return answers[rng.integers(3)]
    feel = LIBRARY.checks["lifted"]
    felt_gone = gone * np.exp(rng.logistic(0, 0.09))
    if felt_gone > feel.dry_above_frac.value:
        return Found.LIGHT
    return Found.HEAVY if felt_gone < feel.wet_below_frac.value else Found.HALF


if __name__ == "__main__":
    main()
