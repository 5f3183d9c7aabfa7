"""Print a generated page: `python scripts/pages.py cli.md > docs/cli.md`."""

import importlib
import pkgutil
import sys
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

import click

import arbuscula.kinds
import arbuscula.start  # it hangs the last commands on the door
from arbuscula.cli.commands import cli
from arbuscula.units import SUFFIXES


def command_page() -> Iterator[str]:
    """Yield the page of all commands, as their own help tells them."""
    yield "# Commands\n\nGenerated."
    for name, command in commands(cli, "arbuscula"):
        context = click.Context(command, info_name=name)
        context.max_content_width = 80
        yield f"\n## {name}\n"
        yield f"```text\n{command.get_help(context)}\n```"


def commands(group: click.Group, above: str) -> Iterator[tuple[str, click.Command]]:
    """Yield every command and its whole name, those within a group after it."""
    for name, command in sorted(group.commands.items()):
        yield f"{above} {name}", command
        if isinstance(command, click.Group):
            yield from commands(command, f"{above} {name}")


def nomenclature_page() -> Iterator[str]:
    """Yield every suffix, and every noun with its fields."""
    yield "# Nomenclature\n\nGenerated.\n\n## Suffixes\n"
    yield from (f"- `_{suffix}`: {meaning}" for suffix, meaning in SUFFIXES.items())
    yield "\n## Nouns\n"
    for room in pkgutil.iter_modules(arbuscula.kinds.__path__, "arbuscula.kinds."):
        for name, noun in vars(importlib.import_module(room.name)).items():
            if is_dataclass(noun) and noun.__module__ == room.name:
                first = (noun.__doc__ or "").splitlines()[0]
                said = ", ".join(f"`{f.name}`" for f in fields(noun))
                yield f"- **{name}**: {first} ({said})"


if __name__ == "__main__":
    pages = {"cli.md": command_page, "nomenclature.md": nomenclature_page}
    print("\n".join(pages[sys.argv[1]]()))
