"""Written: a table as TOML that the strict readers take in again."""

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeAlias

Plain: TypeAlias = "bool | int | float | str | Sequence[Plain] | Mapping[str, Plain]"


def toml_text(table: Mapping[str, Plain]) -> str:
    """Return a table as a text; tables within it stand under heads of their own.

    Errors: none raised; a text must hold no sign that cannot be seen.
    """
    return "\n".join(_lines(table, ())).strip() + "\n"


def _lines(table: Mapping[str, Plain], head: tuple[str, ...]) -> Iterator[str]:
    own = [key for key, cell in table.items() if not isinstance(cell, Mapping)]
    if head and own:
        yield f"\n[{'.'.join(map(_text, head))}]"
    yield from (f"{_text(key)} = {_cell(table[key])}" for key in own)
    for key, cell in table.items():
        if isinstance(cell, Mapping):
            yield from _lines(cell, (*head, key))


def _cell(cell: Plain) -> str:
    if isinstance(cell, Mapping):
        pairs = (f"{_text(key)} = {_cell(part)}" for key, part in cell.items())
        return f"{{ {', '.join(pairs)} }}"
    if isinstance(cell, str):
        return _text(cell)
    if isinstance(cell, bool | int | float):
        return json.dumps(cell)
    return f"[{', '.join(map(_cell, cell))}]"


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
