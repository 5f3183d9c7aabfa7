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


@contextmanager
def cluster():
    """Run a server of our own; yield the URL of its database."""
    folder = Path(tempfile.mkdtemp(prefix="arbuscula-pg-"))
    try:
        with _running(folder):
            yield f"postgresql+psycopg://postgres@/postgres?host={quote(str(folder))}"
    finally:
        shutil.rmtree(folder)


@contextmanager
def _running(folder):
    programs, data = binaries(), folder / "data"
    how = {"cwd": folder, "stdin": subprocess.DEVNULL}
    if os.geteuid() == 0:
        who = pwd.getpwnam(server_user())
        os.chown(folder, who.pw_uid, who.pw_gid)
        how |= {"user": who.pw_uid, "group": who.pw_gid, "extra_groups": []}
    made = ["initdb", "-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "-N"]
    made[0] = programs / "initdb"
    subprocess.run(made, check=True, capture_output=True, **how)
    settings = {
        "listen_addresses": "",
        "unix_socket_directories": folder,
        "fsync": "off",  # a test that dies needs no disk
        "max_connections": 50,
    }
    options = [f"-c{name}={value}" for name, value in settings.items()]
    with (folder / "log").open("w") as log:
        command = [programs / "postgres", "-D", data, *options]
        server = subprocess.Popen(command, stdout=log, stderr=log, **how)
    try:
        _wait(folder, server)
        yield
    finally:
        server.send_signal(signal.SIGINT)  # the one that waits for nobody
        server.wait(START_S)


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
