"""The command `restore`."""

from pathlib import Path

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data
from arbuscula.kinds.said import ArbusculaError, Said


@cli.command(name="restore", epilog="Example: arbuscula restore trees.zip --rehearse")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--into",
    type=click.Path(path_type=Path),
    help="The folder that is to hold book and weather; the usual one if left out.",
)
@click.option("--replace", "replaces", is_flag=True, help="Move what is there aside.")
@click.option("--rehearse", is_flag=True, help="Only count; leave all as it is.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def restore_command(
    visit: Visit,
    file: Path,
    into: Path | None,
    *,
    replaces: bool,
    rehearse: bool,
    as_data: bool,
) -> None:
    """Bring a backup back from FILE, counted before anything is moved.

    A damaged file is refused, with its reason. A folder that holds something is
    left alone, or moved aside with --replace; nothing is ever deleted.
    """
    from arbuscula.desk import restore as desk

    if rehearse and (into or replaces):
        raise ArbusculaError(Said("restore.rehearse_alone", {}))
    if rehearse:
        answer = desk.rehearse(visit.open_desk(), file)
    else:
        answer = desk.restore(visit.open_desk(), file, into=into, replaces=replaces)
    if as_data:
        show_data(visit, answer)
        return
    say(
        visit,
        "restore.done" if answer.into else "restore.counted",
        file=answer.file,
        into=answer.into or "",
        made_at=answer.contents.made_at,
        events=f"{answer.contents.position_n}",
        persons=f"{answer.contents.persons_n}",
        batches=f"{answer.contents.batches_n}",
        photos=f"{answer.contents.photos_n}",
    )
    if answer.aside:
        say(visit, "restore.aside", aside=answer.aside, err=True)
    if answer.newer_n:
        say(visit, "restore.newer", newer=f"{answer.newer_n}", err=True)
