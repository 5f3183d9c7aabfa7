"""The command `verify`."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data
from arbuscula.kinds.said import Said
from arbuscula.reports.words import sentence

if TYPE_CHECKING:
    from arbuscula.desk.library import EntryView
    from arbuscula.desk.verify import Verified


@cli.command(name="verify", epilog="Example: arbuscula verify")
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_context
def verify_command(ctx: click.Context, file: Path | None, *, as_data: bool) -> None:
    """Say whether the book is whole; or whether a library FILE of your own reads."""
    from arbuscula.desk.verify import verify, verify_file

    visit: Visit = ctx.obj
    desk = visit.open_desk()
    answer = verify(desk) if file is None else verify_file(desk, file)
    if as_data:
        show_data(visit, answer)
    else:
        for fault in answer.faults:
            click.echo(sentence(fault, visit.voice), err=True)
        if not answer.faults:
            events_n = "" if answer.events_n is None else f"{answer.events_n}"
            message = "verify.whole" if events_n else "verify.reads"
            say(visit, message, what=answer.what, events=events_n)
        if answer.entry is not None:
            explain(visit, answer.entry)
        if file is None:
            _say_backups(visit, answer)
    ctx.exit(1 if answer.faults else 0)


def _say_backups(visit: Visit, answer: "Verified") -> None:
    """Say when the book was last backed up, and when that was last tried out."""
    made, restored = answer.made, answer.restored
    if made is None:
        say(visit, "verify.no_backup", err=True)
        return
    contents = made.contents
    say(
        visit,
        "verify.backed_up",
        file=made.file,
        made_at=made.at,
        events=f"{contents.position_n}",
    )
    if restored is None:
        say(visit, "verify.never_restored", file=made.file, err=True)
    else:
        say(visit, "verify.restored", file=restored.file, restored_at=restored.at)


def explain(visit: Visit, entry: "EntryView") -> None:
    """Say what a file of the library tells, and how firm its numbers are."""
    grades = ", ".join(
        f"{n} {sentence(Said(f'grade.{grade}', {}), visit.voice)}"
        for grade, n in entry.grades_n.items()
    )
    if entry.numbers:
        say(
            visit,
            "verify.entry",
            title=entry.title,
            shelf=entry.shelf,
            numbers=f"{len(entry.numbers)}",
            grades=grades,
        )
    told = {fact.key for fact in entry.facts}
    if entry.shelf == "species" and "harm.toxicity" not in told:
        say(visit, "verify.no_harm")
