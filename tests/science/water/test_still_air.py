"""A leaf as warm as its air, when nothing moves: it breaks nothing."""

import numpy as np

from arbuscula.science.water.leaf import leaf_exchange


def test_no_wind_no_warmth_and_wet_air_give_off_no_water():
    told = leaf_exchange(
        air_temperature_c=np.array([17.0, 17.0]),
        vapour_pressure_kpa=np.array([1.9381, 1.0]),
        air_pressure_kpa=100.0,
        wind_speed_m_s=0.0,
        width_m=0.02,
        turbulence_ratio=1.0,
        faces_open_frac=0.5,
        absorbed_w_m2=0.0,
        conductance_mol_m2_s=0.01,
    )
    assert np.isfinite(told.latent_w_m2).all()
    assert told.latent_w_m2[0] < told.latent_w_m2[1]
    assert told.latent_w_m2[0] < 0.5  # of what a lit leaf gives off in a breeze
