"""The commands `yard add` and `yard list`."""

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import heads, say, show_data, show_rows


@cli.group(name="yard", epilog="Example: arbuscula yard add Home --at 45.7,13.8")
def yard_group() -> None:
    """Set up and list the places where trees stand."""


@yard_group.command(name="add", epilog="Example: arbuscula yard add Home --at Trieste")
@click.argument("name")
@click.option("--at", "at", required=True, help="A town, or latitude,longitude.")
@click.option("--rounds", default="", help="When somebody walks past: 08:00,18:00.")
@click.option("--longest-unseen", type=float, help="Days without a look at a tree.")
@click.option("--timezone", help="Its clock, such as Europe/Rome; else the town's.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def add_command(
    visit: Visit,
    name: str,
    at: str,
    rounds: str,
    longest_unseen: float | None,
    timezone: str | None,
    *,
    as_data: bool,
) -> None:
    """Set up a yard called NAME; its height and its clock come with the place."""
    from arbuscula.desk.yard import add_yard

    times = [part.strip() for part in rounds.split(",") if part.strip()]
    answer = add_yard(
        visit.open_desk(),
        name,
        at,
        rounds=times,
        longest_unseen_d=longest_unseen,
        timezone=timezone,
    )
    if as_data:
        show_data(visit, answer)
        return
    say(
        visit,
        "yard.added",
        yard=answer.yard.name,
        place=f"{answer.place.name}, {answer.place.country}",
        timezone=answer.yard.timezone,
        height_m=answer.yard.elevation_m or 0.0,
    )
    for other in answer.others[:5]:
        place = f"{other.name}, {other.country}"
        say(visit, "yard.other_place", place=place, err=True)


@yard_group.command(name="list", epilog="Example: arbuscula yard list")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def list_command(visit: Visit, *, as_data: bool) -> None:
    """List the yards of the book."""
    from arbuscula.desk.yard import list_yards

    answer = list_yards(visit.open_desk())
    if as_data:
        show_data(visit, answer)
        return
    rows = [
        [row.yard.name, row.yard.timezone, str(row.benches_n), str(row.trees_n)]
        for row in answer.yards
    ]
    show_rows(heads(visit, "yard", "clock", "benches", "trees"), rows)
