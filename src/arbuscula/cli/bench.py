"""The commands `bench add`, `bench list` and `bench show`."""

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.said import bench_options, said_of, tree_options
from arbuscula.cli.show import say, show_data, show_rows


@cli.group(name="bench", epilog="Example: arbuscula bench list")
def bench_group() -> None:
    """Set up, list and show the benches where trees stand."""


@bench_group.command(
    name="add",
    epilog="Example: arbuscula bench add 'Bench 3' --facing south --trees 140 "
    "--species ficus-microcarpa --pot 'oval 18 cm'",
)
@click.argument("name")
@click.option("--yard", help="Which yard; the only one if left out.")
@bench_options
@click.option("--trees", "trees_n", default=0, type=click.IntRange(0, 100_000))
@click.option("--species", help="Of every tree made with the bench.")
@tree_options
@click.option("--since", help="When it was set up; now if left out.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def add_command(
    visit: Visit,
    /,
    name: str,
    yard: str | None,
    trees_n: int,
    since: str | None,
    *,
    as_data: bool,
    **said: str | None,
) -> None:
    """Set up a bench called NAME, with as many trees as you say stand on it."""
    from arbuscula.desk.bench import BenchWish, add_bench

    of_bench, of_tree = said_of(said)
    wish = BenchWish(
        name=name, yard=yard, said=of_bench, trees_n=trees_n, each=of_tree, since=since
    )
    answer = add_bench(visit.open_desk(), wish)
    if as_data:
        show_data(visit, answer)
        return
    say(visit, "bench.added", bench=answer.bench.name)
    if answer.labels:
        first, last = answer.labels[0], answer.labels[-1]
        trees_n_said = float(len(answer.labels))
        say(visit, "bench.trees_added", trees_n=trees_n_said, first=first, last=last)


@bench_group.command(name="list", epilog="Example: arbuscula bench list")
@click.option("--yard", help="Of one yard; of all if left out.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def list_command(visit: Visit, yard: str | None, *, as_data: bool) -> None:
    """List the benches."""
    from arbuscula.desk.bench import list_benches

    answer = list_benches(visit.open_desk(), yard)
    if as_data:
        show_data(visit, answer)
        return
    rows = [
        [row.bench.name, row.bench.exposure.value, str(row.trees_n)]
        for row in answer.benches
    ]
    show_rows(("bench", "exposure", "trees"), rows)


@bench_group.command(name="show", epilog="Example: arbuscula bench show 'Bench 3'")
@click.argument("name")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def show_command(visit: Visit, name: str, *, as_data: bool) -> None:
    """Show who stands on the bench called NAME, along the walk."""
    from arbuscula.desk.bench import show_bench

    answer = show_bench(visit.open_desk(), name)
    if as_data:
        show_data(visit, answer)
        return
    say(
        visit,
        "bench.shown",
        bench=answer.bench.name,
        exposure=answer.bench.exposure.value,
        trees_n=float(len(answer.trees)),
    )
    rows = [
        [
            row.label,
            row.said.species,
            "" if row.said.place_n is None else f"{row.said.place_n:g}",
        ]
        for row in answer.trees
    ]
    show_rows(("tree", "species", "place"), rows)
