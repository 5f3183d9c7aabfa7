"""Find files in installed packages without importing them."""

from importlib.util import find_spec
from pathlib import Path


def package_file(package: str, *parts: str) -> Path:
    """Return the path of a file in an installed package."""
    spec = find_spec(package)
    if spec is None or not spec.submodule_search_locations:
        raise ModuleNotFoundError(package)
    return Path(spec.submodule_search_locations[0]).joinpath(*parts)
