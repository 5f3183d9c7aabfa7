"""The commands `bench add`, `bench set`, `bench list` and `bench show`."""

from datetime import datetime
from typing import TYPE_CHECKING

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.said import bench_options, said_of, tree_options
from arbuscula.cli.show import heads, say, show_data, show_rows
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.reports.labels import some_of
from arbuscula.reports.words import (
    sentence,
    worded,
)

if TYPE_CHECKING:
    from arbuscula.desk.bench_climate import BenchShown


class Benches(click.Group):
    """A name that is no command is that of a bench, to be shown."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read `bench NAME` as `bench show NAME`."""
        if args and not args[0].startswith("-") and args[0] not in self.commands:
            args = ["show", *args]
        return super().parse_args(ctx, args)


@cli.group(name="bench", cls=Benches, epilog="Example: arbuscula bench 'Bench 3'")
def bench_group() -> None:
    """Set up, list and show the benches where trees stand; NAME alone shows one."""


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
        [
            row.bench.name,
            worded("exposure", row.bench.exposure, visit.voice),
            str(row.trees_n),
        ]
        for row in answer.benches
    ]
    show_rows(heads(visit, "bench", "exposure", "trees"), rows)


@bench_group.command(
    name="set",
    epilog="Example: arbuscula bench set Sill --facing east --glass double "
    "--opposite '8 m high, 20 m off'",
)
@click.argument("name")
@bench_options
@click.option("--at", help="Since when; now if left out.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def set_command(
    visit: Visit,
    /,
    name: str,
    at: str | None,
    *,
    as_data: bool,
    **said: str | None,
) -> None:
    """Say more of the bench called NAME; what is left out stays as it was."""
    from arbuscula.desk.record import RecordWish, record

    of_bench, _ = said_of(said)
    if not of_bench:
        raise ArbusculaError(Said("bench.nothing_said", {"bench": name}))
    words = tuple(f"{key}={text}" for key, text in of_bench.items())
    wish = RecordWish(subject=name, words=("bench", "set", *words), at=at)
    answer = record(visit.open_desk(), wish)
    if as_data:
        show_data(visit, answer)
        return
    say(visit, "bench.set", bench=answer.events[0].subject)


@bench_group.command(name="show", epilog="Example: arbuscula bench show 'Bench 3'")
@click.argument("name")
@click.option("--species", help="For which species; that of most trees if left out.")
@click.option("--pot", help="In which pot; the smallest that stands there.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def show_command(
    visit: Visit, name: str, species: str | None, pot: str | None, *, as_data: bool
) -> None:
    """Show the bench called NAME: its light and warmth by month, and who is there."""
    from arbuscula.desk.bench import show_bench

    answer = show_bench(visit.open_desk(), name, species=species, pot=pot)
    if as_data:
        show_data(visit, answer)
        return
    _show(visit, answer)


@bench_group.command(
    name="move",
    epilog="Example: arbuscula bench move Terrace --to Sill --on 2026-09-01",
)
@click.argument("names")
@click.option("--to", required=True, help="The bench where they shall stand.")
@click.option(
    "--on", type=click.DateTime(["%Y-%m-%d"]), help="Begin; today if left out."
)
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def move_command(
    visit: Visit, names: str, to: str, on: datetime | None, *, as_data: bool
) -> None:
    """Say how NAMES, trees or a bench, are led into another light, day by day."""
    from arbuscula.desk.moves import move

    answer = move(visit.open_desk(), names, to, on=on.date() if on else None)
    if as_data:
        show_data(visit, answer)
        return
    click.echo(sentence(answer.why, visit.voice))
    for stand in answer.stands:
        message = "move.stand_last" if stand.until is None else "move.stand"
        say(
            visit,
            "move.stand_net" if stand.net_frac else message,
            labels=some_of(stand.trees, visit.voice),
            bench=stand.name,
            first=stand.from_,
            until=stand.until or stand.from_,
            light_mol_m2_d=stand.light_mol_m2_d,
            net_frac=stand.net_frac,
        )
    if answer.no_room:
        say(visit, "move.no_room", labels=some_of(answer.no_room, visit.voice))
    for note in answer.notes:
        click.echo(sentence(note, visit.voice))


def _show(visit: Visit, answer: "BenchShown") -> None:
    """Print what becomes of a tree there, the months behind it, and who is there."""
    from arbuscula.reports.bench import (
        bench_above,
        bench_below,
        months_caption,
        months_heads,
        months_rows,
    )

    voice = visit.voice
    for line in bench_above(answer, voice):
        click.echo(line)
    click.echo()
    click.echo(months_caption(answer, voice))
    show_rows(months_heads(voice), months_rows(answer, voice))
    for line in bench_below(answer, voice):
        click.echo(line)
    if answer.trees:
        click.echo()
        _show_trees(visit, answer)


def _show_trees(visit: Visit, answer: "BenchShown") -> None:
    rows = [
        [
            row.label,
            row.said.species,
            "" if row.said.place_n is None else f"{row.said.place_n:g}",
        ]
        for row in answer.trees
    ]
    show_rows(heads(visit, "tree", "species", "place"), rows)
