"""A damaged snapshot is as good as none."""

import numpy as np
import pytest

from arbuscula.desk import snapshots
from arbuscula.desk.today import today
from tests.desk.made_yard import desk_with, observe


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """Return a folder with one snapshot, and that as it was."""
    home = tmp_path_factory.mktemp("home")
    desk = desk_with(home, trees_n=2)
    observe(desk)
    today(desk)
    desk.ledger().engine.dispose()
    (path,) = (home / "snapshots").rglob("*.npz")
    return path, path.read_bytes()


def read(kept, damaged):
    path, whole = kept
    path.write_bytes(damaged)
    found = [*snapshots.load(path.parent)]
    path.write_bytes(whole)
    return found


def test_a_whole_one_is_read(kept):
    assert len(read(kept, kept[1])) == 1


@pytest.mark.parametrize("share", [0.0, 0.001, 0.5, 0.999])
def test_one_that_was_cut_short_is_none(kept, share):
    assert read(kept, kept[1][: int(len(kept[1]) * share)]) == []


def test_one_with_a_flipped_bit_is_none_or_was_not_harmed(kept):
    """Heads of the parts are hit as often as the numbers in them."""
    rng = np.random.default_rng(20260708)
    whole = kept[1]
    places = np.r_[rng.integers(0, len(whole), 100), np.arange(0, 400, 3)]
    wanted = [mark for mark, _ in read(kept, whole)]
    refused_n = 0
    for place in places:
        flipped = bytearray(whole)
        flipped[place] ^= 1 << int(rng.integers(8))
        found = read(kept, flipped)
        refused_n += not found
        assert [mark for mark, _ in found] in ([], wanted)
    assert refused_n > 150
