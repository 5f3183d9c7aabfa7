"""Commands: the door with every command hung on it."""

from arbuscula.cli import (
    backup,
    bench,
    drydown,
    export,
    import_,
    library,
    mix,
    pot,
    record,
    restore,
    season,
    today,
    tree,
    verify,
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
    "library",
    "mix",
    "pot",
    "record",
    "restore",
    "season",
    "today",
    "tree",
    "verify",
    "weather",
    "why",
    "yard",
]
