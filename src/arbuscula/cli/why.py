"""The command `why`."""

from functools import partial

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.moment import moment
from arbuscula.cli.show import say, show_data, show_rows
from arbuscula.kinds.said import Said
from arbuscula.reports.words import (
    figure_in_words,
    number_in_words,
    run_in_words,
    sentence,
)

SHOWN_GROUNDS_N = 6


@cli.command(name="why", epilog="Example: arbuscula why B3-4")
@click.argument("tree", required=False)
@click.option("--yard", help="Which yard; the first one if left out.")
@click.option("--at", "at_text", help="Another moment, with its offset.")
@click.option("--score", "as_score", is_flag=True, help="Say how good the calls were.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def why_command(
    visit: Visit,
    tree: str | None,
    yard: str | None,
    at_text: str | None,
    *,
    as_score: bool,
    as_data: bool,
) -> None:
    """Say why TREE got its advice: what happened, what was learned, what is guessed.

    With --score: how good the calls were, for TREE or for the whole yard.
    """
    if as_score:
        show_score(visit, tree, yard, at_text, as_data=as_data)
        return
    if tree is None:
        raise click.MissingParameter(param_hint="TREE", param_type="argument")
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
    for guess in (answer.walls, *answer.guessed):
        click.echo("  " + sentence(guess, visit.voice))
    for event in answer.events:
        say(visit, "why.event", at=event.at, kind=event.kind, id=event.id)
    number = partial(number_in_words, voice=visit.voice, figures_n=6)
    for ground in answer.grounds[:SHOWN_GROUNDS_N]:
        grade = sentence(Said(f"grade.{ground.grade}", {}), visit.voice)
        span = run_in_words(number(ground.low), number(ground.high), visit.voice)
        figures = f"{number(ground.value)} ({span})"
        name, cite = ground.name, ground.cite
        say(visit, "why.ground", name=name, figures=figures, grade=grade, cite=cite)


def show_score(
    visit: Visit,
    tree: str | None,
    yard: str | None,
    at_text: str | None,
    *,
    as_data: bool,
) -> None:
    """Show how good the calls were, beside two forecasts without a model."""
    from arbuscula.desk.score import score

    answer = score(visit.open_desk(), tree, at=moment(at_text), yard=yard)
    if as_data:
        show_data(visit, answer)
        return
    rows = [
        [
            "-".join(
                figure_in_words("chance_ratio", chance, visit.voice)
                for chance in (b.from_frac, b.to_frac)
            ),
            str(b.calls_n),
            _percent(visit, b.said_frac),
            _percent(visit, b.came_frac),
        ]
        for b in answer.reliability
    ]
    heads = ("chance", "calls", "said", "came")
    show_rows([sentence(Said(f"score.head_{h}", {}), visit.voice) for h in heads], rows)
    errors = answer.errors
    if errors.model_h is None:
        say(visit, "score.too_few")
    else:
        say(
            visit,
            "score.errors",
            cycles_n=float(errors.cycles_n),
            model_h=errors.model_h,
            last_h=errors.last_time_h or 0.0,
            mean_h=errors.mean_interval_h or 0.0,
            covered_frac=errors.covered_frac or 0.0,
        )
    for bench in answer.benches:
        wrong = ", ".join(bench.wrong_since_yesterday) or "-"
        figures = f"{bench.right_n}/{bench.calls_n}"
        say(visit, "score.bench", bench=bench.bench, right=figures, wrong=wrong)
    for one in answer.trees if tree else ():
        last_n, right_n = float(len(one.last_calls)), float(one.right_n)
        say(visit, "score.tree", label=one.label, last_n=last_n, right_n=right_n)
        if one.falls_back:
            say(visit, "score.falls_back", label=one.label)


def _percent(visit: Visit, share: float | None) -> str:
    if share is None:
        return "-"
    return figure_in_words("share_frac", share, visit.voice)
