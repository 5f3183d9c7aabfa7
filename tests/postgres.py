"""A throwaway PostgreSQL: in a temporary folder, on a socket, never as root."""

import getpass
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

import psycopg

HOW_TO_GET_ONE = (
    "NOT TESTED ON POSTGRESQL: no initdb in PATH or /usr/lib/postgresql/*/bin; "
    "install it, for instance with: apt-get install postgresql"
)
NOBODY_TO_RUN_IT = (
    "NOT TESTED ON POSTGRESQL: it refuses to run as root, and there is no user "
    "postgres or nobody to run it as"
)
START_S = 30


def binaries():
    """Return the folder of PostgreSQL's programs, the newest of them, or None."""
    there = shutil.which("initdb")
    folders = [Path(there).resolve().parent] if there else []
    folders += sorted(
        Path("/usr/lib/postgresql").glob("*/bin"),
        key=lambda path: float(path.parent.name),
        reverse=True,
    )
    return next((f for f in folders if (f / "initdb").exists()), None)


def server_user():
    """Return who runs the server: we, or somebody of no rights if we are root."""
    if os.geteuid() != 0:
        return getpass.getuser()
    known = {entry.pw_name for entry in pwd.getpwall()}
    return next((name for name in ("postgres", "nobody") if name in known), None)


def url_of(folder):
    """Return the address of the database that a folder's server serves."""
    return f"postgresql+psycopg://postgres@/postgres?host={quote(str(folder))}"


@contextmanager
def cluster():
    """Run a server of our own; yield the URL of its database."""
    folder = Path(tempfile.mkdtemp(prefix="arbuscula-pg-"))
    try:
        with _running(folder):
            yield url_of(folder)
    finally:
        shutil.rmtree(folder)


@contextmanager
def _running(folder):
    how = {}
    if os.geteuid() == 0:
        who = pwd.getpwnam(server_user())
        os.chown(folder, who.pw_uid, who.pw_gid)
        how = {"user": who.pw_uid, "group": who.pw_gid, "extra_groups": []}
    make(folder, **how)
    server = start(folder, fsync="off", **how)  # a test that dies needs no disk
    try:
        yield
    finally:
        server.send_signal(signal.SIGINT)  # the one that waits for nobody
        server.wait(START_S)


def make(folder, *options, **how):
    """Make a database's files in a folder, as whoever is meant to run it."""
    made = ["initdb", "-D", folder / "data", "-U", "postgres", "-A", "trust", "-N"]
    made[0] = binaries() / "initdb"
    subprocess.run(
        [*made, "-E", "UTF8", *options],
        check=True,
        capture_output=True,
        cwd=folder,
        stdin=subprocess.DEVNULL,
        **how,
    )


def start(folder, *, fsync="on", **how):
    """Start the server of a folder, and wait until it answers."""
    settings = {
        "listen_addresses": "",
        "unix_socket_directories": folder,
        "fsync": fsync,
        "max_connections": 50,
    }
    options = [f"-c{name}={value}" for name, value in settings.items()]
    command = [binaries() / "postgres", "-D", folder / "data", *options]
    with (folder / "log").open("a") as log:
        server = subprocess.Popen(
            command,
            stdout=log,
            stderr=log,
            cwd=folder,
            stdin=subprocess.DEVNULL,
            start_new_session=True,  # so that all of it can be killed at once
            **how,
        )
    try:
        _wait(folder, server)
    except BaseException:
        server.kill()
        raise
    return server


def _wait(folder, server):
    """Wait until it answers; say what it wrote if it will not."""
    until = time.monotonic() + START_S
    while time.monotonic() < until and server.poll() is None:
        try:
            psycopg.connect(
                host=str(folder), user="postgres", dbname="postgres"
            ).close()
        except psycopg.OperationalError:
            time.sleep(0.05)
        else:
            return
    raise AssertionError((folder / "log").read_text())
