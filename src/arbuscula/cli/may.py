"""The command `may`."""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Final

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data
from arbuscula.kinds.said import Figure, Said, Sentence
from arbuscula.reports.words import figure_in_words, run_in_words, sentence

if TYPE_CHECKING:
    from arbuscula.desk.followups import JobToday
    from arbuscula.desk.may import Because, May, MayAll, Opens, VerdictTold

NONE: Final = "-"


@cli.command(
    name="may", epilog="Example: arbuscula may B3-4 repot defoliate --on 2027-05-20"
)
@click.argument("tree", required=False)
@click.argument("techniques", nargs=-1)
@click.option(
    "--on",
    "on",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="DATE",
    help="Another day, such as 2027-05-20; today if left out.",
)
@click.option("--all", "everywhere", help="A technique, asked of every tree.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def may_command(
    visit: Visit,
    tree: str | None,
    techniques: tuple[str, ...],
    on: date | None,
    everywhere: str | None,
    *,
    as_data: bool,
) -> None:
    """Say whether TECHNIQUES may be done on TREE, why, and what must follow.

    Several are judged each and all together. With --all TECHNIQUE every tree is
    asked. A verdict is advice: labels, local rules and licensed practice come
    first.
    """
    from arbuscula.desk.may import may, may_all

    day = _day_of(on)
    if everywhere is not None:
        if tree is not None:
            told = "a tree and --all exclude each other"
            raise click.UsageError(told)
        answer_all = may_all(visit.open_desk(), everywhere, on=day)
        if as_data:
            show_data(visit, answer_all)
        else:
            _show_all(visit, answer_all)
        return
    if tree is None or not techniques:
        told = "name a tree and a technique, or --all and a technique"
        raise click.UsageError(told)
    answer = may(visit.open_desk(), tree, techniques, on=day)
    if as_data:
        show_data(visit, answer)
        return
    _show(visit, answer)


def _day_of(moment: date | None) -> date | None:
    return None if moment is None else date(moment.year, moment.month, moment.day)


def _words(visit: Visit, said: Sentence) -> str:
    return " ".join(sentence(part, visit.voice) for part in said.parts)


def _line(visit: Visit, message_id: str, **figures: Figure) -> None:
    """Print one sentence below its head."""
    click.echo("  " + sentence(Said(message_id, figures), visit.voice))


def _show(visit: Visit, answer: "May") -> None:
    say(
        visit,
        "may.head",
        label=answer.label,
        bench=answer.bench,
        on=f"{answer.at}",
        phase=answer.phase.name.value,
        phase_frac=answer.phase.p,
    )
    _show_condition(visit, answer)
    if answer.phase.moved:
        click.echo(sentence(answer.phase.moved, visit.voice))
    if answer.again:
        click.echo(sentence(answer.again, visit.voice))
    for verdict in answer.verdicts:
        click.echo()
        _show_verdict(visit, verdict)
    if len(answer.verdicts) > 1 or (
        answer.together.verdict != answer.verdicts[0].verdict
    ):
        click.echo()
        head = Said("may.together", {"verdict": answer.together.verdict.value})
        click.echo(click.style(sentence(head, visit.voice), bold=True))
        _show_reasons(visit, answer.together.because)
    if answer.visible:
        click.echo()
    for asks in answer.visible:
        because = _words(visit, asks.said)
        say(visit, "may.asks_for", technique=asks.technique, because=because)


def _show_condition(visit: Visit, answer: "May") -> None:
    """Print what the book knows of the tree: vigour, reserves, roots, standing."""
    say(
        visit,
        "may.condition",
        vigour=answer.vigour.value,
        reserves_frac=answer.reserves_frac,
    )
    fill = answer.roots.fill_frac
    if fill is not None:
        say(
            visit,
            "may.roots_fill",
            fill_frac=fill.p50,
            low_frac=fill.p10,
            high_frac=fill.p90,
        )
    if answer.standing:
        say(visit, "may.standing", standing=", ".join(answer.standing))


def _show_verdict(visit: Visit, told: "VerdictTold") -> None:
    head = Said("may.verdict", {"technique": told.title, "verdict": told.verdict.value})
    click.echo(click.style(sentence(head, visit.voice), bold=True))
    _show_reasons(visit, told.because)
    if told.next:
        click.echo("  " + _next_words(visit, told.next))
    for name, limit in told.keep.items():
        figures = _limit(visit, name, limit.value, limit.high)
        _line(visit, f"keep.{name.rpartition('_')[0]}", figures=figures)
    if told.work_min and told.tools:
        least, most = f"{told.work_min.low:g}", f"{told.work_min.high:g}"
        minutes = f"{run_in_words(least, most, visit.voice)} min"
        _line(visit, "may.takes", figures=minutes, tools=", ".join(told.tools))
    for care in told.aftercare:
        job = _words(visit, care.job)
        _line(visit, "may.after", job=job, first=f"{care.from_}", last=f"{care.to}")
    for caution in told.cautions:
        click.echo("  ! " + _words(visit, caution))


def _limit(visit: Visit, name: str, value: float, high: float) -> str:
    """Return a limit: one figure, or the usual one to the outermost."""
    first, last = (figure_in_words(name, f, visit.voice) for f in (value, high))
    return first if first == last else run_in_words(first, last, visit.voice)


def _show_reasons(visit: Visit, reasons: Sequence["Because"]) -> None:
    for because in reasons:
        grade = sentence(Said(f"grade.{because.grade}", {}), visit.voice)
        _line(
            visit,
            "may.reason",
            mark={"yes": "+", "not yet": "-", "no": "x"}[because.verdict],
            because=_words(visit, because.said),
            grade=grade,
            source=because.source,
        )


def _next_words(visit: Visit, opens: "Opens") -> str:
    if opens.p50 is None:
        return sentence(Said("may.no_next", {}), visit.voice)
    days: dict[str, Figure] = {
        name: f"{day}" if day else NONE
        for name, day in (("p10", opens.p10), ("p50", opens.p50), ("p90", opens.p90))
    }
    message = "may.next_at" if opens.p10 == opens.p90 else "may.next"
    return sentence(Said(message, days), visit.voice)


def _show_all(visit: Visit, answer: "MayAll") -> None:
    say(visit, "may.all_head", technique=answer.title, on=f"{answer.at}")
    for row in answer.trees:
        because = _words(visit, row.because.said) if row.because else NONE
        opens = row.next.p50 if row.next else None
        message = "may.row_next" if opens else "may.row"
        _line(
            visit,
            message,
            label=row.label,
            bench=row.bench,
            verdict=row.verdict.value,
            because=because,
            about=f"{opens}",
        )
    if answer.standing_nowhere:
        labels = ", ".join(answer.standing_nowhere)
        say(visit, "may.nowhere", labels=labels, err=True)


def show_jobs(visit: Visit, jobs: Sequence["JobToday"]) -> None:
    """Print what else is to be done today, the same job of several trees once."""
    grouped: dict[tuple[str, str, date | None], list[str]] = {}
    for one in jobs:
        words = sentence(one.job, visit.voice), sentence(one.because, visit.voice)
        grouped.setdefault((*words, one.to), []).append(one.label)
    if grouped:
        click.echo()
    for (job, because, to), labels in grouped.items():
        figures = {"job": job, "because": because, "labels": ", ".join(labels)}
        said = Said("job.line_to", {**figures, "last": f"{to}"})
        said = said if to else Said("job.line", figures)
        click.echo(sentence(said, visit.voice))
