"""What these tests share with `python -m scripts.crawl`: one server, one browser."""

from scripts.served import ARGUMENTS, CHROMIUM, HOW, PLAIN_NAME, Served

__all__ = ["ARGUMENTS", "CHROMIUM", "HOW", "PLAIN_NAME", "Served"]
