"""The command `import`."""

from pathlib import Path
from typing import Final

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data

TABLE: Final = ".csv"


@cli.command(
    name="import", epilog="Example: arbuscula import trees.csv --yard 'Stone Stair'"
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--yard", help="Where the trees stand; the only one if left out.")
@click.option("--make-benches", is_flag=True, help="Set up benches not known yet.")
@click.option("--since", help="Since when they stand there; now if left out.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def import_command(
    visit: Visit,
    file: Path,
    yard: str | None,
    since: str | None,
    *,
    make_benches: bool,
    as_data: bool,
) -> None:
    """Take in a table of trees, or an exported book: all of FILE, or nothing.

    A table (.csv) has a row for each tree; its columns are species and bench,
    then what you know: label, place, pot, mix, crown, height_cm ... All faults
    are told at once. An exported book (.jsonl) is taken in event by event, each
    once.
    """
    if file.suffix.lower() == TABLE:
        _import_table(
            visit, file, yard, since, make_benches=make_benches, as_data=as_data
        )
    else:
        _import_book(visit, file, as_data=as_data)


def _import_table(
    visit: Visit,
    file: Path,
    yard: str | None,
    since: str | None,
    *,
    make_benches: bool,
    as_data: bool,
) -> None:
    from arbuscula.desk.table_import import ImportWish, import_trees

    wish = ImportWish(file=file, yard=yard, make_benches=make_benches, since=since)
    answer = import_trees(visit.open_desk(), wish)
    if as_data:
        show_data(visit, answer)
        return
    first, last = answer.labels[0], answer.labels[-1]
    trees_n = float(len(answer.labels))
    say(visit, "import.trees", file=file.name, trees_n=trees_n, first=first, last=last)
    if answer.benches:
        names = ", ".join(answer.benches)
        say(visit, "import.benches", benches=names, bench=answer.benches[0])


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
