"""The commands `serve` and `door`."""

from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager, suppress
from threading import Event, Thread
from typing import TYPE_CHECKING, Final, Literal, Protocol, TypedDict

import click

from arbuscula.desk import Desk
from arbuscula.kinds.said import ArbusculaError, Figure, NotDoneError, Said
from arbuscula.reports.words import Voice, languages_in_words, sentence

if TYPE_CHECKING:
    from fastapi import FastAPI

    from arbuscula.web.certificate import Certified

RENEWAL_ASKED_S: Final = 6 * 3600.0


class Quiet(TypedDict):
    """How a server keeps quiet, and stops."""

    log_level: str
    timeout_graceful_shutdown: int


QUIET: Final[Quiet] = {"log_level": "critical", "timeout_graceful_shutdown": 1}


class Visiting(Protocol):
    """What a command is called with."""

    open_desk: Callable[[], Desk]
    voice: Voice
    is_language_told: bool


def say(visit: Visiting, message_id: str, **figures: Figure) -> None:
    """Print one sentence."""
    click.echo(sentence(Said(message_id, figures), visit.voice))


@click.command(name="serve", epilog="Example: arbuscula serve --port 8710")
@click.option("--port", default=8710, type=click.IntRange(1, 65535))
@click.option("--host", default="127.0.0.1", help="The address to listen at.")
@click.option("--called", multiple=True, help="A name that browsers know it by.")
@click.option(
    "--own-certificate", is_flag=True, help="Serve by https, under one made here."
)
@click.pass_obj
def serve_command(
    visit: Visiting,
    port: int,
    host: str,
    called: tuple[str, ...],
    *,
    own_certificate: bool,
) -> None:
    """Show the round to browsers, on this machine or, behind a password, on others.

    Each browser is answered in its own language where there are words in it; with
    arbuscula --language de serve everybody reads German.

    Once a password is set everybody knocks, also on this machine. By plain http an
    open page keeps its taps without a network, but it cannot be loaded again; on this
    machine, or by https, it can. With --own-certificate a private authority is made in
    your folder, bound to the names served, and how phones come to trust it is told.
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
    known_as = called[0] if called else host
    app = create_app(
        desk,
        visit.voice,
        hosts=LOOPBACK | names,
        by_browser=not visit.is_language_told,
        is_open=is_open,
    )
    if own_certificate:
        serve_certified(visit, app, desk, host, port, known_as, names)
        return
    _say_where(visit, address("http", known_as, port, "/round"))
    uvicorn.Server(uvicorn.Config(app, host=host, port=port, **QUIET)).run()


def _say_where(visit: Visiting, where: str) -> None:
    """Say where the round is, and in which languages."""
    say(visit, "serve.at", address=where)
    if not visit.is_language_told:
        say(visit, "serve.languages", languages=languages_in_words(visit.voice))


def address(scheme: str, host: str, port: int, path: str) -> str:
    """Return where a page is; an address of many colons stands in brackets."""
    shown = f"[{host}]" if ":" in host else host
    return f"{scheme}://{shown}:{port}{path}"


def serve_certified(
    visit: Visiting,
    app: "FastAPI",
    desk: Desk,
    host: str,
    port: int,
    known_as: str,
    names: Collection[str],
) -> None:
    """Serve by https under a certificate of our own, renewed while it runs."""
    import uvicorn

    from arbuscula.web.certificate import certified
    from arbuscula.web.trusting import trusted

    page = address("https", known_as, port, "/trust")
    shown = certified(desk.home, names, desk.clock())
    trusted(app, shown, page)
    _say_where(visit, address("https", known_as, port, "/round"))
    _told(visit, shown, page)
    config = uvicorn.Config(
        app, host=host, port=port, ssl_certfile=shown.server, **QUIET
    )
    config.load()

    def renew() -> None:
        now_shown = certified(desk.home, names, desk.clock())
        trusted(app, now_shown, page)
        if config.ssl is not None:  # it serves whoever comes from now on
            config.ssl.load_cert_chain(now_shown.server)

    with every(RENEWAL_ASKED_S, renew):
        uvicorn.Server(config).run()


def _told(visit: Visiting, shown: "Certified", page: str) -> None:
    """Say how it is trusted, and what to mind."""
    import segno

    folder = str(shown.authority.parent)
    if shown.is_new:
        say(visit, "certificate.new", folder=folder)
    say(visit, "certificate.trust", address=page, file=str(shown.authority))
    segno.make(page, micro=False).terminal(compact=True)
    say(visit, "certificate.fingerprint", fingerprint=shown.fingerprint)
    figures: dict[str, Figure] = {"names": ", ".join(shown.names), "address": page}
    figures |= {"until": f"{shown.until:%Y-%m-%d}", "folder": folder}
    say(visit, "certificate.mind", **figures)


@contextmanager
def every(wait_s: float, do: Callable[[], None]) -> Iterator[None]:
    """Do something again and again, beside what is done meanwhile."""
    over = Event()

    def again() -> None:
        while not over.wait(wait_s):
            with suppress(ArbusculaError):  # a full disk: it is tried again
                do()

    Thread(target=again, daemon=True).start()
    try:
        yield
    finally:
        over.set()


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
