"""Door: the group of all commands; faults become words and an exit code."""

from collections.abc import Callable
from dataclasses import dataclass

import click

from arbuscula.desk import Desk
from arbuscula.kinds.said import ArbusculaError, NotDoneError
from arbuscula.reports.words import Voice, languages, sentence


@dataclass(slots=True)
class Visit:
    """One call of the command line."""

    open_desk: Callable[[], Desk]
    voice: Voice
    is_language_told: bool = False  # else each browser is asked for its own


class Door(click.Group):
    """Exit code 2: input we cannot take. 1: valid, and not carried out."""

    def invoke(self, ctx: click.Context) -> object:
        """Run the command; explain what can be explained."""
        try:
            return super().invoke(ctx)
        except ArbusculaError as error:
            for fault in error.faults:
                click.echo(sentence(fault, ctx.obj.voice), err=True)
            ctx.exit(1 if isinstance(error, NotDoneError) else 2)


@click.group(cls=Door)
@click.version_option(package_name="arbuscula")
@click.option(
    "--language",
    envvar="ARBUSCULA_LANGUAGE",
    type=click.Choice(languages()),
    help="Of words; or ARBUSCULA_LANGUAGE; English if left out.",
)
@click.option(
    "--units",
    envvar="ARBUSCULA_UNITS",
    default="metric",
    type=click.Choice(["metric", "us"]),
    help="Of figures in words; or ARBUSCULA_UNITS. Data stay metric.",
)
@click.pass_obj
def cli(visit: Visit, language: str | None, units: str) -> None:
    """Decide what your trees need."""
    visit.voice = Voice(language or "en", units)
    visit.is_language_told = language is not None
