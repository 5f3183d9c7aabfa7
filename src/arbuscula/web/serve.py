"""The commands `serve` and `door`."""

from collections.abc import Callable
from typing import Literal, Protocol

import click

from arbuscula.desk import Desk
from arbuscula.kinds.said import Figure, NotDoneError, Said
from arbuscula.reports.words import Voice, sentence


class Visiting(Protocol):
    """What a command is called with."""

    open_desk: Callable[[], Desk]
    voice: Voice


def say(visit: Visiting, message_id: str, **figures: Figure) -> None:
    """Print one sentence."""
    click.echo(sentence(Said(message_id, figures), visit.voice))


@click.command(name="serve", epilog="Example: arbuscula serve --port 8710")
@click.option("--port", default=8710, type=click.IntRange(1, 65535))
@click.option("--host", default="127.0.0.1", help="The address to listen at.")
@click.option("--called", multiple=True, help="A name that browsers know it by.")
@click.pass_obj
def serve_command(
    visit: Visiting, port: int, host: str, called: tuple[str, ...]
) -> None:
    """Show the round to browsers, on this machine or, behind a password, on others.

    Once a password is set everybody knocks, also on this machine. By plain http an
    open page keeps its taps without a network, but it cannot be loaded again; on this
    machine, or behind a proxy with https, it can.
    """
    import uvicorn

    from arbuscula.web import doors
    from arbuscula.web.app import create_app
    from arbuscula.web.guard import LOOPBACK

    desk = visit.open_desk()
    names = {host, *called}
    is_open = doors.doors_in(desk.home).password is None
    if is_open and names - LOOPBACK:
        host = ", ".join(sorted(names - LOOPBACK))
        raise NotDoneError(Said("doors.no_password", {"host": host}))
    app = create_app(desk, visit.voice, hosts=LOOPBACK | names, is_open=is_open)
    say(visit, "serve.at", address=f"http://{host}:{port}/round")
    uvicorn.run(
        app, host=host, port=port, log_level="critical", timeout_graceful_shutdown=1
    )


@click.group(name="door", epilog="Example: arbuscula door invite Ondine --part hand")
def door_group() -> None:
    """Say who may come in from the network."""


@door_group.command(name="password", epilog="Example: arbuscula door password")
@click.password_option(help="Asked for if left out; not to be told in a shell.")
@click.pass_obj
def password_command(visit: Visiting, password: str) -> None:
    """Set the owner's password; whoever came in by the old one is out."""
    from arbuscula.web import doors

    home = visit.open_desk().home
    home.mkdir(mode=0o700, parents=True, exist_ok=True)
    doors.keep(home, doors.with_password(doors.doors_in(home), password))
    say(visit, "doors.password_set")


@door_group.command(
    name="invite", epilog="Example: arbuscula door invite Ondine --part hand"
)
@click.argument("name")
@click.option(
    "--part",
    type=click.Choice(["hand", "guest"]),
    default="hand",
    help="A hand writes; a guest only looks.",
)
@click.option("--at", default="http://127.0.0.1:8710", help="Where the face is shown.")
@click.pass_obj
def invite_command(
    visit: Visiting, name: str, part: Literal["hand", "guest"], at: str
) -> None:
    """Invite NAME, a person of `person list`: a link that serves once, for a week."""
    import segno

    from arbuscula.desk.person import list_persons, mark_of
    from arbuscula.web import doors

    desk = visit.open_desk()
    mark = mark_of(list_persons(desk).persons, name)
    known = doors.doors_in(desk.home)
    known, key = doors.invited(known, part, name, mark, desk.clock())
    doors.keep(desk.home, known)
    link = f"{at.rstrip('/')}/door/in/{key}"
    say(visit, "doors.invited", name=name, link=link)
    segno.make(link, micro=False).terminal(compact=True)


@door_group.command(name="list", epilog="Example: arbuscula door list")
@click.pass_obj
def list_command(visit: Visiting) -> None:
    """List who may come in."""
    from arbuscula.web import doors

    for door in doors.doors_in(visit.open_desk().home).open.values():
        message = "doors.invitation" if door.invited else "doors.browser"
        say(visit, message, name=door.name, part=door.part, until=door.until)


@door_group.command(name="shut", epilog="Example: arbuscula door shut Ondine")
@click.argument("name")
@click.pass_obj
def shut_command(visit: Visiting, name: str) -> None:
    """Lock out everybody who came in as NAME, at once."""
    from arbuscula.web import doors

    home = visit.open_desk().home
    doors.keep(home, doors.shut(doors.doors_in(home), name))
    say(visit, "doors.shut", name=name)
