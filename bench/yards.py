"""Yards: so many figs on benches, for pages to be measured on."""

from pathlib import Path

from arbuscula.desk import Desk
from arbuscula.desk.bench import BenchWish, add_bench
from arbuscula.desk.yard import add_yard
from arbuscula.start import desk_at

EACH = {"species": "ficus-microcarpa", "pot": "oval 18 cm"}
ON_A_BENCH_N = 100


def plain_yard(folder: Path, trees_n: int) -> Desk:
    """Return a desk with so many figs, of which nobody has told anything more."""
    desk = desk_at(folder)
    add_yard(desk, "Stone Stair", "Trieste")
    for n in range(0, trees_n, ON_A_BENCH_N):
        here_n = min(ON_A_BENCH_N, trees_n - n)
        name = f"Bench {n // ON_A_BENCH_N + 1}"
        add_bench(desk, BenchWish(name=name, trees_n=here_n, each=EACH))
    return desk
