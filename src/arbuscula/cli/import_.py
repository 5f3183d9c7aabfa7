"""The command `import`."""

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data
from arbuscula.kinds.said import ArbusculaError
from arbuscula.reports.facts import facts_in_words
from arbuscula.reports.words import sentence

if TYPE_CHECKING:
    from arbuscula.desk.table_import import ImportWish, Line

TABLES: Final = (".csv", ".tsv")


@cli.command(
    name="import", epilog="Example: arbuscula import trees.csv --yard 'Stone Stair'"
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--yard", help="Where the trees stand; the only one if left out.")
@click.option("--make-benches", is_flag=True, help="Set up benches not known yet.")
@click.option("--since", help="Since when they stand there; now if left out.")
@click.option(
    "--look", is_flag=True, help="Say what a table would write; write it not."
)
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def import_command(
    visit: Visit,
    file: Path,
    yard: str | None,
    since: str | None,
    *,
    make_benches: bool,
    look: bool,
    as_data: bool,
) -> None:
    """Take in a table of trees, or an exported book: all of FILE, or nothing.

    A table (.csv, or .tsv with tabs) has a row for each tree; parted by semicolons,
    its numbers may have decimal commas. Its columns are
    species and bench, then what you know: label, place, pot, mix, crown,
    height_cm ... All faults are told at once. An exported book (.jsonl) is taken
    in event by event, each once.
    """
    if file.suffix.lower() not in TABLES:
        _import_book(visit, file, as_data=as_data)
        return
    from arbuscula.desk.table_import import ImportWish
    from arbuscula.strict.text import text_of_file

    wish = ImportWish(
        name=file.name,
        text=text_of_file(file),
        yard=yard,
        make_benches=make_benches,
        since=since,
    )
    if look:
        _look_at_table(visit, wish, as_data=as_data)
    else:
        _import_table(visit, wish, as_data=as_data)


def _import_table(visit: Visit, wish: "ImportWish", *, as_data: bool) -> None:
    from arbuscula.desk.table_import import import_trees

    answer = import_trees(visit.open_desk(), wish)
    if as_data:
        show_data(visit, answer)
        return
    for note in answer.notes:
        click.echo(sentence(note, visit.voice), err=True)
    first, last = answer.labels[0], answer.labels[-1]
    trees_n = float(len(answer.labels))
    say(visit, "import.trees", file=wish.name, trees_n=trees_n, first=first, last=last)
    if answer.benches:
        names = ", ".join(answer.benches)
        say(visit, "import.benches", benches=names, bench=answer.benches[0])


def _look_at_table(visit: Visit, wish: "ImportWish", *, as_data: bool) -> None:
    from arbuscula.desk.table_import import look_at_table

    answer = look_at_table(visit.open_desk(), wish)
    if as_data:
        show_data(visit, answer)
    for note in () if as_data else answer.notes:
        click.echo(sentence(note, visit.voice), err=True)
    if answer.faults:
        raise ArbusculaError(*(fault.said for fault in answer.faults))
    if not as_data:
        say(visit, "import.would", file=wish.name, trees_n=float(len(answer.trees)))
        for line in answer.trees:
            show_line(visit, line)
        if answer.benches:
            say(visit, "import.would_benches", benches=", ".join(answer.benches))


def show_line(visit: Visit, line: "Line") -> None:
    """Print what one row would write."""
    facts = facts_in_words(line.bare, visit.voice)
    say(
        visit,
        "import.would_tree",
        row=f"{line.row_n}",
        label=line.tree.label or "",
        bench=line.bench,
        told=facts + (f", note {line.note}" if line.note else ""),
    )


def _import_book(visit: Visit, file: Path, *, as_data: bool) -> None:
    from arbuscula.desk.exchange import import_events

    answer = import_events(visit.open_desk(), file)
    if as_data:
        show_data(visit, answer)
        return
    say(
        visit,
        "import.done",
        file=answer.file,
        told=f"{answer.told_n}",
        new=f"{answer.new_n}",
        events=f"{answer.events_n}",
    )
