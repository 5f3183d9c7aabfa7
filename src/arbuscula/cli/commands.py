"""Commands: the door with every command hung on it."""

from arbuscula.cli import (
    backup,
    bench,
    drydown,
    export,
    mix,
    pot,
    record,
    restore,
    season,
    today,
    tree,
    verify,
    why,
    yard,
)
from arbuscula.cli.door import cli

__all__ = [
    "backup",
    "bench",
    "cli",
    "drydown",
    "export",
    "mix",
    "pot",
    "record",
    "restore",
    "season",
    "today",
    "tree",
    "verify",
    "why",
    "yard",
]
