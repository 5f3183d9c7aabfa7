"""The command `demo`: what it prints. It is hung on the door in `start`."""

import shlex
from datetime import date
from typing import TYPE_CHECKING

import click

from arbuscula.cli.door import Visit
from arbuscula.cli.show import say, show_data
from arbuscula.cli.today import show_round
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.reports.words import sentence
from arbuscula.strict.quote import plain

if TYPE_CHECKING:
    from arbuscula.desk.demo import Demo


def day_from_words(words: str | None) -> date | None:
    """Return the day that was asked for; None: today."""
    if words is None:
        return None
    try:
        return date.fromisoformat(words)
    except ValueError:
        raise ArbusculaError(Said("demo.no_day", {"found": plain(words)})) from None


def show_demo(visit: Visit, answer: "Demo", *, as_data: bool, unset: str) -> None:
    """Print the invented round, and how to go on with its book.

    `unset` is what a shell must be told first where another book is set.
    """
    if as_data:
        show_data(visit, answer)
        return
    invented = Said(
        "demo.invented",
        {"trees": f"{answer.trees_n}", "events": f"{answer.events_n}"},
    )
    click.echo(click.style(sentence(invented, visit.voice), fg="cyan"))
    click.echo()
    show_round(visit, answer.today)
    at = shlex.quote(f"{answer.at:%Y-%m-%dT%H:%M%z}")
    click.echo()
    say(visit, "demo.go_on", unset=unset, home=shlex.quote(answer.home), at=at)
