"""The library's substrates, as the tests of several rooms want them."""

import tomllib
from importlib.resources import files

from arbuscula.kinds.substrate import Substrate
from arbuscula.strict.kinds import kind_from_toml

LIBRARY = files("arbuscula") / "library"


def library_substrates():
    sources = tomllib.loads((LIBRARY / "sources.toml").read_text())
    return {
        found.name.removesuffix(".toml"): kind_from_toml(
            found.read_text(), Substrate, name=found.name, sources=sources
        )
        for found in (LIBRARY / "substrates").iterdir()
        if found.name.endswith(".toml")
    }
