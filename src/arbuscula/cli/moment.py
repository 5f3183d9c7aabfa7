"""Moment: a time of the command line."""

from datetime import datetime

import click


def moment(text: str | None) -> datetime | None:
    """Return a moment with its offset; refuse one without."""
    if text is None:
        return None
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        at = None
    if at is None or at.tzinfo is None:
        told = f"'{text}' is no moment with its offset"
        said = f"{told}; one would do, such as 2026-07-08T08:10+02:00."
        raise click.BadParameter(said)
    return at
