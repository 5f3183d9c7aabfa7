"""The house as text: what the self-checks read."""

import ast
import importlib
import inspect
import pkgutil
from dataclasses import is_dataclass
from pathlib import Path

import arbuscula.kinds
import arbuscula.science

ROOT = Path(__file__).parents[2]
SRC = ROOT / "src/arbuscula"
LIBRARY = SRC / "library"
TREES = {path: ast.parse(path.read_text()) for path in sorted(SRC.rglob("*.py"))}


def nodes(kind):
    return [n for tree in TREES.values() for n in ast.walk(tree) if isinstance(n, kind)]


def rooms(package):
    path, prefix = package.__path__, f"{package.__name__}."
    return [
        importlib.import_module(m.name) for m in pkgutil.walk_packages(path, prefix)
    ]


def science():
    """Return every public function of the science floor."""
    return [
        function
        for room in rooms(arbuscula.science)
        for name, function in inspect.getmembers(room, inspect.isfunction)
        if function.__module__ == room.__name__ and not name.startswith("_")
    ]


def nouns():
    """Return every dataclass of the kinds."""
    return [
        noun
        for room in rooms(arbuscula.kinds)
        for noun in vars(room).values()
        if is_dataclass(noun) and noun.__module__ == room.__name__
    ]
