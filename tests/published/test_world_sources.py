"""What the bytes and units of the packages mean that the normals are built from."""

import numpy as np
import pytest

pytest.importorskip("h5py", reason="reads the map of elevations; comes with pvlib")

from scripts import world_sources

pytestmark = pytest.mark.published


def test_pvlibs_altitude_grid_counts_steps_of_28_m():
    """pvlib 0.16.1, Altitude.h5: 28 v - 450 m; 255 is water. Exact."""
    metres = world_sources.elevation_from_byte_m(np.array([16, 255], np.uint8))
    assert metres[0] == -2
    assert np.isnan(metres[1])


def test_watts_of_a_day_are_megajoules():
    """100 W/m2 through 86,400 s. Exact but for the float."""
    day_mj_m2 = 100 * world_sources.MJ_M2_D_PER_W_M2
    assert day_mj_m2 == pytest.approx(8.64, abs=1e-9)
