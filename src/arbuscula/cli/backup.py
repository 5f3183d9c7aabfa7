"""The command `backup`."""

from pathlib import Path

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data


@cli.command(name="backup", epilog="Example: arbuscula backup /media/stick/trees.zip")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def backup_command(visit: Visit, file: Path, *, as_data: bool) -> None:
    """Put book, persons, photos, weather and calls into one FILE, while others write.

    It is opened again and counted before success is said. An older backup of the
    same book is written over, nothing else. Keep it away from this machine; it
    holds the names of persons.
    """
    from arbuscula.desk.backup import backup

    answer = backup(visit.open_desk(), file)
    if as_data:
        show_data(visit, answer)
        return
    say(
        visit,
        "backup.made",
        file=answer.file,
        events=f"{answer.contents.position_n}",
        persons=f"{answer.contents.persons_n}",
        batches=f"{answer.contents.batches_n}",
        photos=f"{answer.contents.photos_n}",
    )
