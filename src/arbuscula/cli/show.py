"""Show: sentences and tables on standard output, data as JSON."""

import json
from collections.abc import Iterable, Sequence

import click

from arbuscula.cli.door import Visit
from arbuscula.desk.answers import data
from arbuscula.kinds.said import Figure, Said
from arbuscula.reports.words import sentence


def show_data(visit: Visit, answer: object) -> None:
    """Print an answer as one line of JSON."""
    plain = data(answer, lambda said: sentence(said, visit.voice))
    click.echo(json.dumps(plain, ensure_ascii=False, allow_nan=False))


def say(visit: Visit, message_id: str, *, err: bool = False, **figures: Figure) -> None:
    """Print one sentence."""
    click.echo(sentence(Said(message_id, figures), visit.voice), err=err)


def heads(visit: Visit, *names: str) -> list[str]:
    """Return the heads of a table in the reader's words."""
    return [sentence(Said(f"head.{name}", {}), visit.voice) for name in names]


def show_rows(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Print a plain table: words to the left, figures to the right."""
    from rich.console import Console
    from rich.table import Table

    table = Table(*heads[:1], box=None, pad_edge=False, padding=(0, 3, 0, 0))
    for head in heads[1:]:
        table.add_column(head, justify="right")
    for row in rows:
        table.add_row(*row)
    console = Console(highlight=False, soft_wrap=True)
    with console.capture() as shown:
        console.print(table)
    click.echo(shown.get(), nl=False)  # it knows what the screen can show
