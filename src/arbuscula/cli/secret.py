"""Secret: what is typed unseen, or comes in on standard input."""

import sys

import click


def secret_from_hand(asked: str) -> str:
    """Return a secret; it stands on no command line, where others could see it."""
    if sys.stdin.isatty():
        return str(click.prompt(asked, hide_input=True, err=True)).strip()
    return sys.stdin.readline().strip()
