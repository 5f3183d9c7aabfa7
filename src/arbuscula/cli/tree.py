"""The commands `tree add`, `tree group`, `tree list`, `tree show`, `tree moves`."""

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.said import said_of, tree_options
from arbuscula.cli.show import heads, say, show_data, show_rows
from arbuscula.reports.facts import facts_in_words
from arbuscula.reports.words import sentence


@cli.group(name="tree", epilog="Example: arbuscula tree show B3-4")
def tree_group() -> None:
    """Set up, list and show trees, and groups that are kept as one."""


def _added(
    visit: Visit, kind: str, bench: str, label: str | None, **more: object
) -> None:
    from arbuscula.desk.tree import TreeWish, add_group, add_tree

    said = {k: str(v) for k, v in more.items() if v is not None}
    note, since, as_data = said.pop("note", None), said.pop("since", None), more["data"]
    said.pop("data", None)
    wish = TreeWish(bench=bench, label=label, said=said, note=note, since=since)
    add = add_group if kind == "group" else add_tree
    answer = add(visit.open_desk(), wish)
    if as_data:
        show_data(visit, answer)
        return
    say(
        visit, "tree.added", label=answer.tree.label, bench=answer.tree.bench_name or ""
    )


@tree_group.command(
    name="add",
    epilog="Example: arbuscula tree add --bench 'Bench 3' --species ficus-microcarpa",
)
@click.argument("label", required=False)
@click.option("--bench", required=True, help="Where it stands.")
@click.option("--species", required=True, help="A key of the library.")
@click.option("--place", "place_n", help="Its place along the bench.")
@tree_options
@click.option("--note", help="In your own words; no names of people.")
@click.option("--since", help="Since when; now if left out.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def add_command(
    visit: Visit,
    /,
    label: str | None,
    bench: str,
    place_n: str | None,
    note: str | None,
    since: str | None,
    *,
    as_data: bool,
    **said: str | None,
) -> None:
    """Set up a tree; without a LABEL it gets the bench's next one."""
    _, of_tree = said_of(said)
    more = {**of_tree, "place_n": place_n, "note": note, "since": since}
    _added(visit, "tree", bench, label, data=as_data, **more)


@tree_group.command(
    name="group",
    epilog="Example: arbuscula tree group --bench Tunnel --species ficus-microcarpa "
    "--form tray --plants 24",
)
@click.argument("label", required=False)
@click.option("--bench", required=True, help="Where it stands.")
@click.option("--species", required=True, help="A key of the library.")
@click.option("--form", help="tray, forest or on rock.")
@click.option("--plants", "plants_n", help="How many plants.")
@tree_options
@click.option("--since", help="Since when; now if left out.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def group_command(
    visit: Visit,
    /,
    label: str | None,
    bench: str,
    form: str | None,
    plants_n: str | None,
    since: str | None,
    *,
    as_data: bool,
    **said: str | None,
) -> None:
    """Set up plants that are kept as one: a tray, a forest, a tree on rock."""
    _, of_tree = said_of(said)
    more = {**of_tree, "form": form, "plants_n": plants_n, "since": since}
    _added(visit, "group", bench, label, data=as_data, **more)


@tree_group.command(name="list", epilog="Example: arbuscula tree list")
@click.option("--bench", help="Of one bench; of all if left out.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def list_command(visit: Visit, bench: str | None, *, as_data: bool) -> None:
    """List the trees, bench by bench along the walk."""
    from arbuscula.desk.tree import list_trees

    answer = list_trees(visit.open_desk(), bench)
    if as_data:
        show_data(visit, answer)
        return
    rows = [
        [row.label, row.said.species, row.bench_name or "-"] for row in answer.trees
    ]
    show_rows(heads(visit, "tree", "species", "bench"), rows)


@tree_group.command(name="show", epilog="Example: arbuscula tree show B3-4")
@click.argument("name")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def show_command(visit: Visit, name: str, *, as_data: bool) -> None:
    """Show the tree called NAME and its whole life."""
    from arbuscula.desk.tree import show_tree

    answer = show_tree(visit.open_desk(), name)
    if as_data:
        show_data(visit, answer)
        return
    bench = (answer.here.bench_name or "-") if answer.here else "-"
    say(visit, "tree.shown", label=answer.label, bench=bench)
    for event in answer.life:
        message = "tree.event_taken_back" if event.taken_back_by else "tree.event"
        facts = facts_in_words(event.facts, visit.voice)
        kind = f"{event.kind} ({facts})" if facts else event.kind
        say(visit, message, at=f"{event.at:%Y-%m-%d %H:%M}", kind=kind, id=event.id)
    for job in answer.jobs:
        reasons = [part for because in job.because for part in because.said.parts]
        say(
            visit,
            "tree.asks_for",
            technique=job.title,
            verdict=job.verdict.value,
            because=sentence(reasons[0], visit.voice) if reasons else "",
        )


@tree_group.command(name="moves", epilog="Example: arbuscula tree moves B3-4")
@click.argument("name")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def moves_command(visit: Visit, name: str, *, as_data: bool) -> None:
    """Say how the tree called NAME was moved into other light, and how it went."""
    from arbuscula.desk.moves import tree_moves

    answer = tree_moves(visit.open_desk(), name)
    if as_data:
        show_data(visit, answer)
        return
    for moved in answer.moves:
        say(
            visit,
            "moved.line",
            at=moved.at.date(),
            before=moved.from_,
            bench=moved.to,
            light_ratio=moved.light_ratio,
        )
        for said in moved.told:
            click.echo(f"  {sentence(said, visit.voice)}")
    if not answer.moves:
        say(visit, "moved.never", label=answer.label)
