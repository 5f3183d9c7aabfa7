"""The command `record`."""

from typing import TextIO

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data
from arbuscula.reports.facts import facts_in_words
from arbuscula.reports.words import sentence

HELP = """Write down what happened to SUBJECT: a tree, a bench, a yard; WORDS tell what.

\b
record B3-4 check half              record B3-4 weighed 2350 drained=yes
record B3-4,B3-9 check finger dry   record Home night_min -3.5
record 'Bench 3' watered --except 3,10-12
record B3-4 repotted pot='oval 235 x 180 x 70' removed_frac=0.25
record B3-4 set down bench=Glasshouse place_n=4
record 'Drip 1' source set way='drip line' reaches='Bench 3'
record 'Bench 3' bench set shade_frac=0.5
record B3-4 photographed front.jpg from the front

Words without a key fill the first field of a kind; all kinds and their fields
stand in docs/nomenclature.md. Of a photograph a copy is kept beside the book,
without place, hour and camera.
"""


@cli.command(
    name="record",
    help=HELP,
    epilog="Example: arbuscula record 'Bench 3' watered --except 3,10,12",
    context_settings={"ignore_unknown_options": True},  # a frosty night is -3
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
@click.option(
    "--by", default="", help="Who writes it: a name or mark of `person list`."
)
@click.option(
    "--undo", "undone", help="Take the event of this id back; words tell why."
)
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
    """Write down what happened, or take it back."""
    from arbuscula.desk.paper import record_paper
    from arbuscula.desk.photos import with_file_kept
    from arbuscula.desk.record import RecordWish, record, undo

    refuse_options(words)
    desk = visit.open_desk()
    if undone is not None:
        because = " ".join((subject or "", *words)).strip()
        answer = undo(desk, undone, because=because, by=by)
    elif paper is not None:
        answer = record_paper(desk, paper.read(), at=at)
    elif subject is None:
        raise click.MissingParameter(param_hint="SUBJECT", param_type="argument")
    else:
        wish = RecordWish(
            subject=subject,
            words=with_file_kept(desk, words),
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
        several = len(event.reached) > 1
        facts = facts_in_words(event.facts, visit.voice)
        say(
            visit,
            "record.done_for" if several else "record.done",
            subject=event.subject,
            kind=f"{event.kind} ({facts})" if facts else event.kind,
            at=f"{event.at:%Y-%m-%d %H:%M}",
            id=event.id,
            reached=f"{len(event.reached)}",
        )
        if event.missed:
            say(visit, "record.missed", missed=", ".join(event.missed))
    for note in answer.notes:
        click.echo(sentence(note, visit.voice))
    if answer.sent_before:
        say(visit, "record.sent_before", err=True)


def refuse_options(words: tuple[str, ...]) -> None:
    """Refuse what looks like an option of ours and is none."""
    for word in words:
        if word.startswith("--"):
            raise click.NoSuchOption(word.partition("=")[0])
