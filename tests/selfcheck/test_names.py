import inspect
from types import UnionType
from typing import Annotated, TypeVar, Union, get_args, get_origin, get_type_hints

import numpy as np
import pytest

from arbuscula.kinds.events import Reading
from arbuscula.kinds.substrate import MixPart
from arbuscula.kinds.values import Value, Within
from arbuscula.units import SUFFIXES, unit_of
from tests.selfcheck.house import nouns, science

# A value of the library is named by its key; a range has the unit of its field.
PLAIN_FIELDS = {
    Value: {"value", "low", "high"},
    Within: {"low", "high"},
    MixPart: {"share"},  # on any scale
    Reading: {"value", "standard_error"},  # in the unit of its own quantity
}
SPREADS = {"p10", "p50", "p90"}


def is_quantity(hint):
    if get_origin(hint) is Annotated:
        return is_quantity(get_args(hint)[0])
    if get_origin(hint) in (UnionType, Union):
        return any(map(is_quantity, get_args(hint)))
    if isinstance(hint, TypeVar):
        return hint.__name__ == "Number"
    if get_origin(hint) is np.ndarray:
        return "bool" not in str(hint)
    return hint in (float, int)


def unit_of_name(name):
    return unit_of(name) or (name if name in SUFFIXES else None)


@pytest.mark.parametrize("owner", [*science(), *nouns()], ids=lambda o: o.__qualname__)
def test_names_bear_units(owner):
    said = get_type_hints(owner, include_extras=True)
    if "return" in said and inspect.isfunction(owner):
        said[owner.__name__] = said.pop("return")
    plain = PLAIN_FIELDS.get(owner, set()) | SPREADS
    nameless = [n for n, t in said.items() if is_quantity(t) and not unit_of_name(n)]
    assert set(nameless) - plain == set()
