"""Commands: the door with every command hung on it."""

from arbuscula.cli import drydown, mix, pot, today, why
from arbuscula.cli.door import cli

__all__ = ["cli", "drydown", "mix", "pot", "today", "why"]
