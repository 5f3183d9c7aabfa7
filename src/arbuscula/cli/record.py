"""The command `record`."""

from typing import TextIO

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data


@cli.command(
    name="record", epilog="Example: arbuscula record 'Bench 3' watered --except 3,10,12"
)
@click.argument("subject", required=False)
@click.argument("words", nargs=-1)
@click.option(
    "--except", "excepted", help="On a bench: all but these places or labels."
)
@click.option("--only", help="On a bench: only these places or labels.")
@click.option(
    "--at", "at", help="When it happened, on the yard's clock; now if left out."
)
@click.option("--id", "event_id", help="Your own id: sent twice it is stored once.")
@click.option("--by", default="", help="Who writes it: an opaque id, never a name.")
@click.option("--undo", "undone", help="Take the event of this id back.")
@click.option(
    "--paper",
    type=click.File(encoding="utf-8"),
    help="A round typed back, a line a bench; - reads what you type.",
)
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def record_command(
    visit: Visit,
    subject: str | None,
    words: tuple[str, ...],
    excepted: str | None,
    only: str | None,
    at: str | None,
    event_id: str | None,
    by: str,
    undone: str | None,
    paper: TextIO | None,
    *,
    as_data: bool,
) -> None:
    r"""Write down what happened to SUBJECT: a tree, a bench, a yard; WORDS tell what.

    \b
    record B3-4 check half              record B3-4 weighed 2350
    record B3-4 check finger dry        record Home night_min 8.5
    record 'Bench 3' watered --except 3,10
    record B3-4 repotted pot='oval 235 x 180 x 70' removed_frac=0.25
    """
    from arbuscula.desk.paper import record_paper
    from arbuscula.desk.record import RecordWish, record, undo

    desk = visit.open_desk()
    if undone is not None:
        answer = undo(desk, undone, by=by)
    elif paper is not None:
        answer = record_paper(desk, paper.read(), at=at)
    elif subject is None:
        raise click.MissingParameter(param_hint="SUBJECT", param_type="argument")
    else:
        wish = RecordWish(
            subject=subject,
            words=words,
            excepted=excepted,
            only=only,
            at=at,
            id=event_id,
            by=by,
        )
        answer = record(desk, wish)
    if as_data:
        show_data(visit, answer)
        return
    for event in answer.events:
        reached = f"{len(event.reached)}" if len(event.reached) != 1 else ""
        message = "record.done_for" if reached else "record.done"
        say(
            visit,
            message,
            subject=event.subject,
            kind=event.kind,
            at=event.at,
            id=event.id,
            reached=reached,
        )
