import numpy as np
import pytest

from arbuscula.weather.grid import (
    COLUMNS_N,
    ELEVATION_STEP_M,
    ROWS_N,
    STEPS,
    cells_around,
    mixed_cells,
    read_grid,
)

pytest.importorskip("h5py", reason="reads the map of elevations; comes with pvlib")

from scripts.build_normals import write

ISLANDS_N = 400


def test_what_is_packed_is_read_again(tmp_path):
    rng = np.random.default_rng(1)
    kept = np.zeros((ROWS_N, COLUMNS_N), bool)
    kept.flat[rng.choice(kept.size, ISLANDS_N, replace=False)] = True
    counts = rng.integers(-400, 400, (ISLANDS_N, 1 + 12 * len(STEPS)))
    write(tmp_path / "normals.npz", kept, counts.astype("i4"))
    grid = read_grid(tmp_path / "normals.npz")
    rows, columns = np.nonzero(kept)
    around = cells_around(grid, 89.75 - rows / 2, columns / 2 - 179.75)
    elevation_m, fields = mixed_cells(grid, around)
    assert elevation_m == pytest.approx(counts[:, 0] * ELEVATION_STEP_M)
    months = counts[:, 1:].reshape(ISLANDS_N, len(STEPS), 12)
    for n, (name, step) in enumerate(STEPS.items()):
        expected = months[:, n] * step
        expected = expected**2 if name == "rain_root" else expected
        assert fields[name] == pytest.approx(expected)
