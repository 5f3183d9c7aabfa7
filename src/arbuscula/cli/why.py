"""The command `why`."""

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.moment import moment
from arbuscula.cli.show import say, show_data
from arbuscula.kinds.said import Said
from arbuscula.reports.words import sentence

SHOWN_GROUNDS_N = 6


@cli.command(name="why", epilog="Example: arbuscula why B3-4")
@click.argument("tree")
@click.option("--yard", help="Which yard; the first one if left out.")
@click.option("--at", "at_text", help="Another moment, with its offset.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def why_command(
    visit: Visit, tree: str, yard: str | None, at_text: str | None, *, as_data: bool
) -> None:
    """Say why TREE got its advice: what happened, what was learned, what is guessed."""
    from arbuscula.desk.why import why

    answer = why(visit.open_desk(), tree, at=moment(at_text), yard=yard)
    if as_data:
        show_data(visit, answer)
        return
    because = "; ".join(sentence(s, visit.voice) for s in answer.because)
    call = answer.advice.value
    say(visit, "why.advice", label=answer.label, call=call, because=because)
    say(
        visit,
        "why.pot",
        latin=answer.latin,
        left_frac=answer.left_frac.p50,
        low_frac=answer.left_frac.p10,
        high_frac=answer.left_frac.p90,
        usable_ml=answer.usable_ml.p50,
        demand_ratio=answer.demand_ratio.p50,
    )
    for guess in answer.guessed:
        click.echo("  " + sentence(guess, visit.voice))
    for event in answer.events:
        say(visit, "why.event", at=event.at, kind=event.kind, id=event.id)
    for ground in answer.grounds[:SHOWN_GROUNDS_N]:
        grade = sentence(Said(f"grade.{ground.grade}", {}), visit.voice)
        figures = f"{ground.value:g} ({ground.low:g} to {ground.high:g})"
        name, cite = ground.name, ground.cite
        say(visit, "why.ground", name=name, figures=figures, grade=grade, cite=cite)
