"""The command `watch`: look at the night to come, and ring where people are."""

import time
from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import heads, say, show_data, show_rows
from arbuscula.kinds.alarm import Threat
from arbuscula.kinds.said import ArbusculaError
from arbuscula.reports.words import (
    figure_in_words,
    sentence,
    species_in_words,
    worded,
)

if TYPE_CHECKING:
    from arbuscula.desk.watch import Watch

MINUTE_S = 60
SHOWN_FRAC = 0.02  # a chance that is worth a line


@cli.group(
    name="watch",
    epilog="Example: arbuscula watch --every 30",
    invoke_without_command=True,
)
@click.option("--yard", help="Which yard; all of them if left out.")
@click.option(
    "--every",
    "every_min",
    type=click.IntRange(1, 1440),
    help="Go on looking, with so many minutes between.",
)
@click.option("--times", type=click.IntRange(1), help="Stop after so many looks.")
@click.option("--offline", is_flag=True, help="Ask no source of weather.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_context
def watch_group(
    context: click.Context,
    *,
    yard: str | None,
    every_min: int | None,
    times: int | None,
    offline: bool,
    as_data: bool,
) -> None:
    """Look once, or every so many minutes, and ring what threatens the trees.

    Where it rings stands in alarms.toml, beside the book; docs/alarms.md tells how.
    """
    if context.invoked_subcommand is not None:
        return
    visit: Visit = context.obj
    left_n = times or (0 if every_min else 1)
    while True:
        all_sent = _look_round(
            visit, yard, offline=offline, as_data=as_data, is_lasting=bool(every_min)
        )
        left_n -= 1
        if left_n == 0:
            break
        time.sleep((every_min or 1) * MINUTE_S)
    if not all_sent:
        context.exit(1)


def _look_round(
    visit: Visit, yard: str | None, *, offline: bool, as_data: bool, is_lasting: bool
) -> bool:
    """Look at every yard; return whether all that had to ring did."""
    from arbuscula.desk.watch import watch, watched_yards

    try:
        desk = visit.open_desk()
        answers = [
            watch(
                desk,
                lambda said: sentence(said, visit.voice),
                yard=key,
                is_asking=not offline,
            )
            for key in watched_yards(desk, yard)
        ]
    except ArbusculaError as error:
        if not is_lasting:
            raise
        for fault in error.faults:  # a service goes on, and says so each time
            click.echo(sentence(fault, visit.voice), err=True)
        return False
    for answer in answers:
        _show(visit, answer, as_data=as_data)
    return not any(answer.unsent for answer in answers)


def _show(visit: Visit, answer: "Watch", *, as_data: bool) -> None:
    for note in (*answer.notes, *answer.unsent):
        click.echo(sentence(note, visit.voice), err=True)
    if as_data:
        show_data(visit, answer)
        return
    for alarm in answer.alarms:
        words = sentence(alarm.because, visit.voice)
        say(visit, "alarm.shown", id=alarm.id, state=alarm.state, words=words)
    if not answer.alarms:
        say(visit, "alarm.none", yard=answer.yard, at=answer.at)


@watch_group.command(name="look", epilog="Example: arbuscula watch look")
@click.option("--yard", help="Which yard; the first one if left out.")
@click.option("--hours", is_flag=True, help="Show the chances hour by hour.")
@click.option("--offline", is_flag=True, help="Ask no source of weather.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def look_command(
    visit: Visit, *, yard: str | None, hours: bool, offline: bool, as_data: bool
) -> None:
    """Say what threatens each bench, hour by hour; nothing rings."""
    from arbuscula.desk.watch import look

    answer = look(visit.open_desk(), yard=yard, is_asking=not offline)
    for note in answer.notes:
        click.echo(sentence(note, visit.voice), err=True)
    if as_data:
        show_data(visit, answer)
        return
    for line in answer.alarms:
        click.echo(sentence(line, visit.voice))
    if not answer.alarms:
        say(visit, "alarm.none", yard=answer.yard, at=answer.at)
    if hours:
        show_rows(
            heads(visit, "hour", "bench", "species", "peril", "chance"),
            [row for threat in answer.threats for row in _hours(visit, threat)],
        )


def _hours(visit: Visit, threat: Threat) -> Iterator[list[str]]:
    """Yield the hours in which a threat has some chance to pass its line."""
    for hour, chance_frac in threat.by_hour:
        if chance_frac >= SHOWN_FRAC:
            yield [
                figure_in_words("at", hour, visit.voice),
                threat.bench,
                species_in_words(threat.species),
                worded("peril", threat.peril, visit.voice),
                figure_in_words("chance_frac", chance_frac, visit.voice),
            ]


@watch_group.command(name="known", epilog="Example: arbuscula watch known 3f2a81c0")
@click.argument("alarms", nargs=-1, required=True)
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def known_command(visit: Visit, alarms: tuple[str, ...], *, as_data: bool) -> None:
    """Say that somebody knows of ALARMS, by their letters, or of `all`.

    A warning that turns to damage rings once more; damage that is known does not.
    """
    from arbuscula.desk.watch import acknowledge

    answer = acknowledge(visit.open_desk(), alarms)
    if as_data:
        show_data(visit, answer)
        return
    for ring in answer.alarms:
        say(visit, "alarm.known", id=ring.alarm, words=ring.words)


@watch_group.command(name="test", epilog="Example: arbuscula watch test")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_context
def test_command(context: click.Context, *, as_data: bool) -> None:
    """Ring once everywhere, so that you know it is heard."""
    from arbuscula.desk.watch import ring_a_test

    visit: Visit = context.obj
    answer = ring_a_test(visit.open_desk(), lambda said: sentence(said, visit.voice))
    for fault in answer.unsent:
        click.echo(sentence(fault, visit.voice), err=True)
    if as_data:
        show_data(visit, answer)
    else:
        for place in answer.rang:
            say(visit, "alarm.rang_at", place=place)
    if answer.unsent:
        context.exit(1)
