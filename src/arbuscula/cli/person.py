"""The commands `person add`, `person list` and `person erase`."""

from typing import get_args

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import heads, say, show_data, show_rows
from arbuscula.kinds.person import Role


@cli.group(name="person", epilog="Example: arbuscula person list")
def person_group() -> None:
    """Keep buyers, givers, helpers beside the book, so that they can be forgotten."""


@person_group.command(
    name="add", epilog="Example: arbuscula person add 'Ondine' --role helper"
)
@click.argument("name")
@click.option("--role", required=True, type=click.Choice(get_args(Role)))
@click.option("--contact", default="", help="How to reach them.")
@click.option("--note", default="", help="What else is good to know.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def add_command(
    visit: Visit, name: str, role: Role, contact: str, note: str, *, as_data: bool
) -> None:
    """Write down somebody called NAME; the book will bear only a mark."""
    from arbuscula.desk.person import add_person

    answer = add_person(visit.open_desk(), name, role, contact=contact, note=note)
    if as_data:
        show_data(visit, answer)
    else:
        person = answer.person
        say(visit, "person.added", name=person.name, mark=person.id)


@person_group.command(name="list", epilog="Example: arbuscula person list")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def list_command(visit: Visit, *, as_data: bool) -> None:
    """List everybody who is known."""
    from arbuscula.desk.person import list_persons

    answer = list_persons(visit.open_desk())
    if as_data:
        show_data(visit, answer)
        return
    rows = [[one.name, one.role, one.id, one.contact] for one in answer.persons]
    show_rows(heads(visit, "name", "role", "mark", "contact"), rows)


@person_group.command(name="erase", epilog="Example: arbuscula person erase Ondine")
@click.argument("person")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def erase_command(visit: Visit, person: str, *, as_data: bool) -> None:
    """Forget a PERSON, told by name or mark, for good."""
    from arbuscula.desk.person import erase

    answer = erase(visit.open_desk(), person)
    if as_data:
        show_data(visit, answer)
    else:
        say(visit, "person.erased", mark=answer.id)
