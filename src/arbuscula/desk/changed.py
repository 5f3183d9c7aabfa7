"""Changed: whether anything was written since an answer was given."""

from arbuscula.desk import Desk
from arbuscula.ledger.book import position
from arbuscula.weather.archive import position as weather_position


def book_n(desk: Desk) -> int:
    """Return how many events the book holds; it never falls."""
    return position(desk.ledger())


def rests_on(desk: Desk) -> tuple[int, int]:
    """Return what moves whenever book or weather grow."""
    return book_n(desk), weather_position(desk.archive())
