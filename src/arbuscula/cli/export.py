"""The command `export`."""

from pathlib import Path

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data


@cli.command(name="export", epilog="Example: arbuscula export trees.jsonl")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--replace", "replaces", is_flag=True, help="Write over a file.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def export_command(visit: Visit, file: Path, *, replaces: bool, as_data: bool) -> None:
    """Write every event into FILE: .jsonl for a program, .csv for a spreadsheet.

    The lines of a .jsonl come in again with `import`, here or on another database.
    Persons, photos and weather travel in a backup; photos are named by digest here.
    """
    from arbuscula.desk.exchange import export

    answer = export(visit.open_desk(), file, replaces=replaces)
    if as_data:
        show_data(visit, answer)
        return
    say(visit, "export.done", file=answer.file, events=f"{answer.events_n}")
