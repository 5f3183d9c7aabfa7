"""Start: reads settings and the clock, opens the rooms, hands a desk to a face."""

import gc
import os
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from hashlib import sha256
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal
from uuid import uuid4

import click

from arbuscula.catalog.library import read_library, read_sources
from arbuscula.cli import commands
from arbuscula.cli.door import Visit
from arbuscula.desk import Desk
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.reports.words import Voice

if TYPE_CHECKING:
    from click import Group

    from arbuscula.ledger.book import Ledger
    from arbuscula.science.water.lanes import Carry
    from arbuscula.weather.archive import Archive
    from arbuscula.weather.world import World

HOME: Final = "ARBUSCULA_HOME"  # the folder of book, weather and snapshots
BOOK: Final = "ARBUSCULA_BOOK"  # the address of a database, in place of a file
KERNEL: Final = "ARBUSCULA_KERNEL"  # "compiled" or "numpy"; else by the yard
FAST_FROM_N: Final = 1000  # trees: below, the compiler takes longer to load
CODE: Final = Path(str(files("arbuscula")))
LIBRARY: Final = CODE / "library"
OWN: Final = "library"  # the grower's own, in their folder
ANSWERING: Final = ("science", "kernel", "state", "microclimate", "kinds", "strict")


def main() -> None:
    """Run the command line."""
    gc.freeze()  # what is loaded by now stays: no use in looking through it
    command_line()(obj=Visit(open_desk, Voice()))


def command_line() -> "Group":
    """Return all commands, those of the web face among them."""
    from arbuscula.web.serve import door_group, serve_command

    commands.cli.add_command(serve_command)
    commands.cli.add_command(door_group)
    return commands.cli


@commands.cli.command(name="demo", epilog="Example: arbuscula demo --date 2026-10-07")
@click.option("--date", "date_text", help="The morning to show; today if left out.")
@click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    help="Where its books lie; never that of your own.",
)
@click.option(
    "--coming",
    type=click.Choice(["cold", "storm"]),
    help="Make the coming day hard: a frosty night, or a storm.",
)
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def demo_command(
    visit: Visit,
    date_text: str | None,
    folder: Path | None,
    coming: Literal["cold", "storm"] | None,
    *,
    as_data: bool,
) -> None:
    """Show the morning's round of an invented nursery, with two years behind it.

    Stone Stair, its trees and its weather are made up, the same for a day each
    time. Its book lies in a folder of its own, where you may go on.
    """
    from arbuscula.cli.demo import day_from_words, show_demo
    from arbuscula.desk.demo import demo

    on, now = day_from_words(date_text), datetime.now(UTC)
    there = folder or demo_folder()
    answer = demo(desk_at, there, on=on, now=now, coming=coming)
    unset = f"{BOOK}= " if os.environ.get(BOOK) else ""
    show_demo(visit, answer, as_data=as_data, unset=unset)


def demo_folder() -> Path:
    """Return where the books of the demo lie, beside the grower's own."""
    home = os.environ.get(HOME)
    beside = Path(home) if home else _usual_home()
    return beside.with_name(f"{beside.name}-demo")


def open_desk() -> Desk:
    """Open the grower's own desk."""
    home = os.environ.get(HOME)
    desk = desk_at(Path(home) if home else _usual_home())
    address = os.environ.get(BOOK)
    return replace(desk, ledger=cache(lambda: _ledger(address))) if address else desk


def desk_at(home: Path) -> Desk:
    """Open a desk whose book and weather lie in this folder."""
    return Desk(
        library=cache(lambda: read_library(LIBRARY, home / OWN)),
        sources=cache(lambda: read_sources(LIBRARY / "sources.toml")),
        ledger=cache(lambda: _ledger_in(home)),
        archive=cache(lambda: _archive_in(home)),
        world=cache(_world),
        clock=lambda: datetime.now(UTC),
        new_id=lambda: str(uuid4()),
        home=home,
        code_digest=cache(lambda: _code_digest(home / OWN)),
        carry=lambda trees_n: _carry(home, trees_n),
    )


def _usual_home() -> Path:
    import platformdirs

    return platformdirs.user_data_path("arbuscula", appauthor=False)


def _ledger_in(home: Path) -> "Ledger":
    from sqlalchemy import URL

    address = URL.create("sqlite", database=str(_made(home) / "book.db"))
    return _ledger(address.render_as_string())


def _ledger(address: str) -> "Ledger":
    """Open the book; an address that no database answers to is explained."""
    from sqlalchemy.exc import ArgumentError

    from arbuscula.ledger.book import Ledger
    from arbuscula.ledger.store.engine import engine_at

    try:
        return Ledger(engine_at(address))
    except (ArgumentError, ModuleNotFoundError) as error:
        figures = {"setting": BOOK, "found": str(error)}
        raise ArbusculaError(Said("start.no_database", figures)) from None


def _archive_in(home: Path) -> "Archive":
    from arbuscula.weather.archive import archive_at

    return archive_at(_made(home) / "weather.db")


def _world() -> "World":
    from arbuscula.weather.world import read_world

    return read_world(LIBRARY / "world")


def _carry(home: Path, trees_n: int) -> "Carry":
    """Return compiled arithmetic for a large yard that has it, NumPy's for others."""
    from arbuscula.science.water.lanes import carried

    wish = os.environ.get(KERNEL, "")
    if wish not in {"", "compiled", "numpy"}:
        raise ArbusculaError(
            Said("start.odd_kernel", {"setting": KERNEL, "found": wish})
        )
    if wish == "numpy" or (not wish and trees_n < FAST_FROM_N):
        return carried
    try:
        from arbuscula.kernel.carrier import carrier_in
    except ImportError:
        if wish:
            raise ArbusculaError(Said("start.no_kernel", {"setting": KERNEL})) from None
        return carried
    return carrier_in(_made(home) / "kernel")


def _made(home: Path) -> Path:
    """Return the grower's folder; nobody else of this machine may look in."""
    try:
        home.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        figures = {"setting": HOME, "file": str(home), "found": str(error.strerror)}
        raise ArbusculaError(Said("start.no_folder", figures)) from None
    return home


def _code_digest(own: Path) -> str:
    """Return what changes whenever an answer may change without a new event."""
    digest = sha256()
    for folder, path in _answering(own):
        digest.update(f"{path.relative_to(folder)}\0{path.stat().st_size}\0".encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()


def _answering(own: Path) -> list[tuple[Path, Path]]:
    """Return each file that answers rest on, with the folder it lies under."""
    code = [path for room in ANSWERING for path in (CODE / room).rglob("*.py")]
    library = [path for path in LIBRARY.rglob("*") if path.is_file()]
    owned = [path for path in own.rglob("*") if path.is_file()]
    ours = [(CODE, path) for path in sorted([*code, *library])]
    return [*ours, *((own, path) for path in sorted(owned))]
