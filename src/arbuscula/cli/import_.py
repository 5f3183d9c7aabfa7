"""The command `import`."""

from pathlib import Path

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data


@cli.command(name="import", epilog="Example: arbuscula import trees.jsonl")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def import_command(visit: Visit, file: Path, *, as_data: bool) -> None:
    """Take in every event of an exported FILE (.jsonl), each once, or none."""
    from arbuscula.desk.exchange import import_events

    answer = import_events(visit.open_desk(), file)
    if as_data:
        show_data(visit, answer)
        return
    say(
        visit,
        "import.done",
        file=answer.file,
        told=f"{answer.told_n}",
        new=f"{answer.new_n}",
        events=f"{answer.events_n}",
    )
