"""The command `today`."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.moment import moment
from arbuscula.cli.show import say, show_data
from arbuscula.kinds.said import Said, Sentence
from arbuscula.reports.words import sentence

if TYPE_CHECKING:
    from arbuscula.desk.today import BenchToday, Today


@cli.command(
    name="today", epilog="Example: arbuscula today --at 2026-07-08T08:10+02:00"
)
@click.option("--yard", help="Which yard; the first one if left out.")
@click.option("--at", "at_text", help="Another moment, with its offset.")
@click.option("--why", "with_reasons", is_flag=True, help="Say why at each tree.")
@click.option(
    "--paper",
    type=click.Path(path_type=Path, dir_okay=False, writable=True),
    help="Write the round as a page that prints.",
)
@click.option("--offline", is_flag=True, help="Ask no source of weather.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def today_command(
    visit: Visit,
    yard: str | None,
    at_text: str | None,
    paper: Path | None,
    *,
    with_reasons: bool,
    offline: bool,
    as_data: bool,
) -> None:
    """Say what the trees need on the round in hand, and who must come in tonight."""
    from arbuscula.desk.today import today

    answer = today(
        visit.open_desk(), at=moment(at_text), yard=yard, is_asking=not offline
    )
    if as_data:
        show_data(visit, answer)
        return
    if paper is not None:
        from arbuscula.reports.paper import round_on_paper

        paper.write_text(round_on_paper(answer, visit.voice), encoding="utf-8")
        say(visit, "paper.written", file=str(paper))
        return
    show_round(visit, answer, with_reasons=with_reasons)


def show_round(visit: Visit, answer: "Today", *, with_reasons: bool = False) -> None:
    """Print the round: the night, each bench, what will not last, what to lift."""
    from arbuscula.cli.may import show_jobs

    say(visit, "today.round", yard=answer.yard, at=answer.rounds.in_hand)
    from arbuscula.reports.night import tonight_in_words

    night = words(visit, answer.tonight)
    click.echo(click.style(night, fg="yellow") if answer.bring_in else night)
    for said in tonight_in_words(answer, visit.voice):
        click.echo(said)

    def show_bench(bench: "BenchToday") -> None:
        click.echo()
        click.echo(click.style(bench.name, bold=True))
        click.echo(words(visit, bench.sentence) or "-")
        for tree in bench.trees if with_reasons else ():
            because = "; ".join(sentence(s, visit.voice) for s in tree.because)
            call = tree.advice.value
            say(visit, "today.tree", label=tree.label, call=call, because=because)

    for bench in answer.benches:
        if bench.trees:
            show_bench(bench)
    if answer.wont_last:
        click.echo()
    for tree in answer.wont_last:
        told = Said("today.wont_last", {"label": tree.label, "go_by": tree.go_by})
        click.echo(click.style(sentence(told, visit.voice), fg="red"))
    if answer.check_first:
        labels = {t.tree: t.label for b in answer.benches for t in b.trees}
        names = ", ".join(labels[key] for key in answer.check_first)
        say(visit, "today.check_first", labels=names)
    show_jobs(visit, answer.jobs)
    for note in answer.notes:
        click.echo(sentence(note, visit.voice), err=True)


def words(visit: Visit, said: Sentence) -> str:
    """Return what is said in one breath."""
    return " ".join(sentence(part, visit.voice) for part in said.parts)
