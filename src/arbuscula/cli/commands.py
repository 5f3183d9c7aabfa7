"""Commands: the door with every command hung on it."""

from arbuscula.cli import (
    backup,
    bench,
    drydown,
    export,
    import_,
    mix,
    pot,
    record,
    restore,
    season,
    today,
    tree,
    verify,
    watch,
    weather,
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
    "import_",
    "mix",
    "pot",
    "record",
    "restore",
    "season",
    "today",
    "tree",
    "verify",
    "watch",
    "weather",
    "why",
    "yard",
]
