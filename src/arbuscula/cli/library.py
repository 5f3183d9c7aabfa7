"""The command `library`."""

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data
from arbuscula.desk.library import EntryView, entry_of, shelves
from arbuscula.kinds.said import Said
from arbuscula.reports.words import sentence
from arbuscula.strict.quote import plain_number


@cli.command(name="library", epilog="Example: arbuscula library ficus-carica")
@click.argument("name", required=False)
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def library_command(visit: Visit, name: str | None, *, as_data: bool) -> None:
    """Say what the library holds; or show one entry, its numbers and their ground.

    NAME is a key or what the trade calls it: species, substrates, glazings, wires,
    fertilisers and pests, ours and those of your own folder.
    """
    if name is None:
        answer = shelves(visit.open_desk())
        if as_data:
            show_data(visit, answer)
            return
        for shelf in answer.shelves:
            say(visit, "library.shelf", shelf=shelf.name, keys=", ".join(shelf.keys))
        return
    entry = entry_of(visit.open_desk(), name)
    if as_data:
        show_data(visit, entry)
    else:
        show_entry(visit, entry)


def show_entry(visit: Visit, entry: EntryView) -> None:
    """Print one entry: its names, its words, its numbers, where they come from."""
    names = ", ".join(entry.names) or "-"
    say(visit, "library.entry", title=entry.title, shelf=entry.shelf, names=names)
    for fact in entry.facts:
        say(visit, "library.fact", key=fact.key, found=fact.found)
    click.echo()
    for one in entry.numbers:
        say(
            visit,
            "library.number",
            key=one.key,
            found=plain_number(one.number.value),
            low=plain_number(one.number.low),
            high=plain_number(one.number.high),
            grade=sentence(Said(f"grade.{one.number.grade}", {}), visit.voice),
            source=one.number.source,
        )
    click.echo()
    cites = {number.number.source: number.cite for number in entry.numbers}
    for source, cite in sorted(cites.items()):
        say(visit, "library.source", source=source, cite=cite)
    harm = {fact.key: fact.found for fact in entry.facts}
    if entry.shelf == "species":
        say(visit, "library.harm", toxicity=harm.get("harm.toxicity", "-"))
