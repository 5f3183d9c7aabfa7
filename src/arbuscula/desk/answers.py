"""Answers as data: the one way out, for `--json` and the pages' twins."""

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, time
from enum import Enum
from typing import TypeAlias

from arbuscula.kinds.said import Said, Sentence

Json: TypeAlias = "bool | int | float | str | list[Json] | dict[str, Json] | None"
Say: TypeAlias = Callable[[Said], str]


def data(answer: object, say: Say | None = None) -> Json:
    """Return any frozen answer as plain data, field by field.

    With a way to say it, what was said has its words beside its figures. A
    field whose name Python keeps for itself ends in an underscore (`from_`).
    """
    match answer:
        case Sentence(parts=parts) if say:
            return " ".join(map(say, parts))
        case Said() if say:
            return {**_fields(answer, say), "words": say(answer)}
        case Enum():
            return data(answer.value, say)
        case None | bool() | int() | float() | str():
            return answer
        case date() | time():
            return answer.isoformat()
        case Mapping():
            return {str(key): data(part, say) for key, part in answer.items()}
        case tuple() | list():
            return [data(part, say) for part in answer]
    if is_dataclass(answer):
        return _fields(answer, say)
    raise TypeError(type(answer))


def _fields(answer: object, say: Say | None) -> dict[str, Json]:
    names = [f.name for f in fields(answer)]  # type: ignore[arg-type]
    return {n.rstrip("_"): data(getattr(answer, n), say) for n in names}
