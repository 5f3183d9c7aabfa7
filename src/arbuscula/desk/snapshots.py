"""Snapshots: what was known of each bench's trees at an hour, kept beside the book.

A snapshot rests on the code and the library, on a position in the book and on
one in the weather's archive; all of that stands in its mark. A missing, older
or damaged file is as good as none.
"""

import json
import os
import zipfile
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path
from typing import Final

import numpy as np

from arbuscula.state.ensemble import Grid
from arbuscula.state.trees import Trees, arrays_of, chosen, from_arrays

ENDING: Final = ".npz"
MARK, KEYS, SUM = "mark", "keys", "sum"
DAMAGED: Final = (
    EOFError,  # nothing in it
    KeyError,
    OSError,
    RuntimeError,  # a way of packing, or a password, that nobody used
    TypeError,
    ValueError,
    zipfile.BadZipFile,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """What a snapshot rests on."""

    at_h: int
    book_n: int
    book_digest: str
    weather_n: int
    code_digest: str


def save(folder: Path, trees: Trees, mark: Mark) -> None:
    """Keep the trees, a file a bench; whoever reads sees a whole file or none."""
    folder.mkdir(parents=True, exist_ok=True)
    for path in folder.glob(f"*{ENDING}"):
        path.unlink(missing_ok=True)
    for bench, places in _by_bench(trees).items():
        some = chosen(trees, np.array(places, dtype=np.int64))
        arrays = {f"a{name}": array for name, array in arrays_of(some).items()}
        told = json.dumps(asdict(mark))
        words = {MARK: told, KEYS: json.dumps(some.keys), SUM: _sum(arrays, told)}
        path = folder / f"{sha256(bench.encode()).hexdigest()[:16]}{ENDING}"
        fresh = path.with_suffix(".new")
        with fresh.open("wb") as file:
            said = np.array(json.dumps(words))
            np.savez(file, WORDS=said, **arrays)  # type: ignore[arg-type]
        os.replace(fresh, path)  # noqa: PTH105 - one step, also where it exists


def load(folder: Path) -> Iterator[tuple[Mark, Trees]]:
    """Yield every snapshot that can be read and is whole."""
    for path in sorted(folder.glob(f"*{ENDING}")):
        try:
            yield _read(path)
        except DAMAGED:
            continue  # what it held is followed anew


def _read(path: Path) -> tuple[Mark, Trees]:
    with path.open("rb") as opened, np.load(opened, allow_pickle=False) as file:
        arrays = {name: file[name] for name in file.files if name != "WORDS"}
        words = json.loads(str(file["WORDS"]))
    if words[SUM] != _sum(arrays, words[MARK]):
        raise ValueError(path.name)
    mark = Mark(**json.loads(words[MARK]))
    named = {name.removeprefix("a"): array for name, array in arrays.items()}
    keys = tuple(json.loads(words[KEYS]))
    return mark, from_arrays(named, at_h=mark.at_h, keys=keys)


def _by_bench(trees: Trees) -> dict[str, list[int]]:
    places: dict[str, list[int]] = defaultdict(list)
    for place, bench in enumerate(trees.bench_keys):
        places[bench].append(place)
    return places


def _sum(arrays: Mapping[str, Grid], told: str) -> str:
    whole = sha256(told.encode())
    for name in sorted(arrays):
        whole.update(name.encode() + arrays[name].tobytes())
    return whole.hexdigest()
