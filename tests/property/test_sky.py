"""Air, sun, evaporation and light: an array is its scalars; more pulls more."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from arbuscula.science import air, evaporation, light, sun

WARMTH_C = (-30.0, 50.0)
SHARE = (0.0, 1.0)
LOW = {"night_low_c": (-30.0, 20.0), "day_high_c": (20.0, 50.0)}
MOMENT = {"unix_s": (-631152000.0, 2556144000.0)}  # 1950 to 2050
PLACE = {"latitude_deg": (-90.0, 90.0), "longitude_deg": (-180.0, 180.0)}
DAY = {"day_of_year_n": (1.0, 366.0)}
VAPOUR = {"vapour_pressure_kpa": (0.01, 4.0)}
ABOVE = {"extraterrestrial_mj_m2_d": (0.0, 46.0)}
LAWN = {
    "air_temperature_c": WARMTH_C,
    "wind_speed_2m_m_s": (0.0, 25.0),
    "vapour_deficit_kpa": (0.0, 6.0),
    "air_pressure_kpa": (50.0, 105.0),
}

CASES = [
    (air.saturation_vapour_pressure_kpa, {"air_temperature_c": WARMTH_C}),
    (air.mean_saturation_vapour_pressure_kpa, LOW),
    (air.saturation_slope_kpa_c, {"air_temperature_c": WARMTH_C}),
    (air.dew_point_c, VAPOUR),
    (
        air.vapour_pressure_kpa,
        {"air_temperature_c": WARMTH_C, "relative_humidity_frac": SHARE},
    ),
    (
        air.vapour_pressure_from_wet_bulb_kpa,
        {
            "air_temperature_c": (20.0, 40.0),
            "wet_bulb_c": (5.0, 20.0),
            "air_pressure_kpa": (50.0, 105.0),
        },
    ),
    (
        air.vapour_deficit_kpa,
        {"saturation_vapour_pressure_kpa": (0.1, 7.0), **VAPOUR},
    ),
    (air.air_pressure_kpa, {"elevation_m": (-400.0, 6000.0)}),
    (air.psychrometric_constant_kpa_c, {"air_pressure_kpa": (50.0, 105.0)}),
    (
        air.wind_speed_2m_m_s,
        {"wind_speed_m_s": (0.0, 40.0), "height_m": (0.5, 100.0)},
    ),
    (sun.extraterrestrial_normal_w_m2, MOMENT),
    (sun.extraterrestrial_w_m2, MOMENT | {"elevation_deg": (-90.0, 90.0)}),
    (sun.declination_rad, DAY),
    (sun.inverse_distance_ratio, DAY),
    (
        sun.sunset_angle_rad,
        {"latitude_deg": (-90.0, 90.0), "declination_rad": (-0.41, 0.41)},
    ),
    (sun.extraterrestrial_mj_m2_d, DAY | {"latitude_deg": (-90.0, 90.0)}),
    (sun.extraterrestrial_mj_m2_h, MOMENT | PLACE),
    (
        sun.shortwave_from_sunshine_mj_m2_d,
        {"sunshine_h": (0.0, 8.0), "daylight_h": (8.0, 24.0), **ABOVE},
    ),
    (sun.shortwave_from_range_mj_m2_d, LOW | ABOVE),
    (sun.diffuse_frac, {"clearness_frac": SHARE}),
    (sun.cloud_transmission_frac, {"cloud_frac": SHARE}),
    (sun.cloud_frac, {"relative_shortwave_frac": (0.0, 1.5)}),
    (
        evaporation.reference_evapotranspiration_mm_d,
        LAWN | {"net_radiation_mj_m2_d": (-5.0, 25.0)},
    ),
    (
        evaporation.reference_evapotranspiration_mm_h,
        LAWN | {"net_radiation_mj_m2_h": (-0.5, 3.0)},
    ),
    (
        evaporation.net_radiation_mj_m2_d,
        LOW
        | VAPOUR
        | {"shortwave_mj_m2_d": (0.0, 35.0), "clear_sky_mj_m2_d": (1.0, 35.0)},
    ),
    (
        evaporation.net_radiation_mj_m2_h,
        VAPOUR
        | {
            "air_temperature_c": WARMTH_C,
            "shortwave_mj_m2_h": (0.0, 4.0),
            "relative_shortwave_frac": SHARE,
        },
    ),
    (evaporation.hargreaves_mm_d, LOW | ABOVE),
    (light.sun_ppfd_umol_m2_s, {"shortwave_w_m2": (0.0, 1200.0)}),
    (
        light.lamp_light_mol_m2_d,
        {"ppfd_umol_m2_s": (0.0, 2000.0), "lit_h": (0.0, 24.0)},
    ),
]


@pytest.mark.parametrize(
    ("answer", "ranges"), CASES, ids=[case[0].__name__ for case in CASES]
)
@given(data=st.data())
def test_an_array_is_answered_like_its_numbers(answer, ranges, data):
    """1e-9: NumPy's long loops may round a last digit otherwise."""
    rows = [
        {name: data.draw(st.floats(*ends), label=name) for name, ends in ranges.items()}
        for _ in range(2)
    ]
    columns = {name: np.array([row[name] for row in rows]) for name in ranges}
    each = [float(answer(**row)) for row in rows]
    assert answer(**columns) == pytest.approx(each, rel=1e-9, abs=1e-9)


@given(
    unix_s=st.floats(*MOMENT["unix_s"]),
    latitude_deg=st.floats(*PLACE["latitude_deg"]),
    longitude_deg=st.floats(*PLACE["longitude_deg"]),
)
def test_the_sun_stands_in_the_sky_and_once_a_day_around(
    unix_s, latitude_deg, longitude_deg
):
    """A day later it is within its own day's journey: 1 degree of arc."""
    today, tomorrow = (
        sun.sun_position(
            unix_s=each_s, latitude_deg=latitude_deg, longitude_deg=longitude_deg
        )
        for each_s in (unix_s, unix_s + 86400)
    )
    assert 0 <= today.azimuth_deg <= 360
    assert tomorrow.elevation_deg == pytest.approx(today.elevation_deg, abs=1)


@given(
    shortwave_w_m2=st.floats(0, 1400),
    elevation_deg=st.floats(-90, 90),
)
def test_no_light_is_lost_between_beam_and_sky(shortwave_w_m2, elevation_deg):
    parted = sun.beam_and_sky(
        shortwave_w_m2=shortwave_w_m2,
        extraterrestrial_normal_w_m2=1361.0,
        elevation_deg=elevation_deg,
    )
    flat = parted.beam_normal_w_m2 * np.sin(np.radians(elevation_deg))
    assert parted.beam_normal_w_m2 >= 0
    assert flat + parted.diffuse_w_m2 == pytest.approx(shortwave_w_m2, abs=1e-9)


@given(
    air_temperature_c=st.floats(*WARMTH_C),
    relative_humidity_frac=st.floats(0, 1.1),
)
def test_the_deficit_is_never_negative(air_temperature_c, relative_humidity_frac):
    full = air.saturation_vapour_pressure_kpa(air_temperature_c)
    vapour = air.vapour_pressure_kpa(
        air_temperature_c=air_temperature_c,
        relative_humidity_frac=relative_humidity_frac,
    )
    deficit_kpa = air.vapour_deficit_kpa(
        saturation_vapour_pressure_kpa=full, vapour_pressure_kpa=vapour
    )
    assert 0 <= deficit_kpa <= full


@pytest.mark.parametrize(
    ("answer", "net_name"),
    [
        (evaporation.reference_evapotranspiration_mm_d, "net_radiation_mj_m2_d"),
        (evaporation.reference_evapotranspiration_mm_h, "net_radiation_mj_m2_h"),
    ],
)
@given(data=st.data())
def test_drier_air_takes_more_and_so_does_more_sun(answer, net_name, data):
    weather = {name: data.draw(st.floats(*ends)) for name, ends in LAWN.items()}
    weather |= {net_name: data.draw(st.floats(-0.5, 3)), "wind_speed_2m_m_s": 1.0}
    drier = weather | {"vapour_deficit_kpa": weather["vapour_deficit_kpa"] + 0.1}
    sunnier = weather | {net_name: weather[net_name] + 0.1}
    assert answer(**drier) > answer(**weather)
    assert answer(**sunnier) > answer(**weather)
