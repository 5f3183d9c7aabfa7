"""FAO-56, the worked examples.

The book was not at hand. Unless a test is marked as recalled, its answer was
read as quoted, with example and page, in the public tests of the PyETo
library; several inputs are from memory, and each test says which.
"""

from datetime import UTC, datetime

import pytest

from arbuscula.science import air, evaporation, sun

pytestmark = pytest.mark.published

N_DIAYE = {"latitude_deg": 16 + 13 / 60, "longitude_deg": -16.25}


def test_example_2_pressure_at_1800_m():
    """P. 63. Printed to 0.1 kPa and 0.001 kPa/C: half of the last digit."""
    pressure_kpa = air.air_pressure_kpa(1800)
    assert pressure_kpa == pytest.approx(81.8, abs=0.05)
    gamma_kpa_c = air.psychrometric_constant_kpa_c(pressure_kpa)
    assert gamma_kpa_c == pytest.approx(0.054, abs=0.0005)


def test_example_3_mean_saturation():
    """P. 69. Printed to 0.01 kPa."""
    e_kpa = air.mean_saturation_vapour_pressure_kpa(day_high_c=24.5, night_low_c=15)
    assert e_kpa == pytest.approx(2.39, abs=0.005)


@pytest.mark.recalled
@pytest.mark.parametrize(
    ("air_temperature_c", "printed_kpa"), [(24.5, 3.075), (15, 1.705), (19.75, 2.3)]
)
def test_example_3_in_its_parts(air_temperature_c, printed_kpa):
    """P. 69. Printed from a table; 0.003 spans its steps."""
    e_kpa = air.saturation_vapour_pressure_kpa(air_temperature_c)
    assert e_kpa == pytest.approx(printed_kpa, abs=0.003)


def test_example_4_wet_and_dry_thermometer():
    """P. 70. Printed to 0.01 kPa, its step to 0.001."""
    assert air.saturation_vapour_pressure_kpa(19.5) == pytest.approx(2.267, abs=6e-4)
    e_kpa = air.vapour_pressure_from_wet_bulb_kpa(
        air_temperature_c=25.6, wet_bulb_c=19.5, air_pressure_kpa=87.9
    )
    assert e_kpa == pytest.approx(1.91, abs=0.005)


def test_example_5_vapour_from_humidity():
    """P. 72, three ways; temperatures from memory. Printed to 0.01 kPa."""
    cold = air.vapour_pressure_kpa(air_temperature_c=18, relative_humidity_frac=0.82)
    warm = air.vapour_pressure_kpa(air_temperature_c=25, relative_humidity_frac=0.54)
    assert (cold + warm) / 2 == pytest.approx(1.70, abs=0.005)
    assert cold == pytest.approx(1.69, abs=0.005)
    full = air.mean_saturation_vapour_pressure_kpa(day_high_c=25, night_low_c=18)
    assert (0.82 + 0.54) / 2 * full == pytest.approx(1.78, abs=0.005)


@pytest.mark.recalled
def test_example_6_vapour_deficit():
    """The book subtracts rounded figures, which moves 0.914 by up to 0.01."""
    cold = air.vapour_pressure_kpa(air_temperature_c=18, relative_humidity_frac=0.82)
    warm = air.vapour_pressure_kpa(air_temperature_c=25, relative_humidity_frac=0.54)
    deficit_kpa = air.vapour_deficit_kpa(
        saturation_vapour_pressure_kpa=air.mean_saturation_vapour_pressure_kpa(
            day_high_c=25, night_low_c=18
        ),
        vapour_pressure_kpa=(cold + warm) / 2,
    )
    assert deficit_kpa == pytest.approx(0.91, abs=0.01)


def test_example_8_sun_above_the_air():
    """P. 80, 3 September at 20 S. Printed to three digits, the sum to 0.1."""
    declination_rad = sun.declination_rad(246)
    assert sun.inverse_distance_ratio(246) == pytest.approx(0.985, abs=0.0005)
    assert declination_rad == pytest.approx(0.120, abs=0.0005)
    sunset_rad = sun.sunset_angle_rad(latitude_deg=-20, declination_rad=declination_rad)
    assert sunset_rad == pytest.approx(1.527, abs=0.0005)
    shine_mj_m2_d = sun.extraterrestrial_mj_m2_d(latitude_deg=-20, day_of_year_n=246)
    assert shine_mj_m2_d == pytest.approx(32.2, abs=0.05)


def test_example_9_daylight():
    """P. 83. Printed to 0.1 h."""
    assert sun.daylight_h(1.527) == pytest.approx(11.7, abs=0.05)


def test_example_10_sun_from_sunshine():
    """P. 84. The step before the printed 14.5 is 14.45; 0.01 is its rounding."""
    shine_mj_m2_d = sun.shortwave_from_sunshine_mj_m2_d(
        sunshine_h=7.1, daylight_h=10.9, extraterrestrial_mj_m2_d=25.1
    )
    assert shine_mj_m2_d == pytest.approx(14.45, abs=0.01)


def test_example_10_from_latitude_and_day():
    """Read as worked in the documentation of a meteorological program.

    It rounds its own steps, which is worth up to 0.01 MJ and 0.005 mm.
    """
    sunset_rad = sun.sunset_angle_rad(
        latitude_deg=-22.9, declination_rad=sun.declination_rad(135)
    )
    shine_mj_m2_d = sun.shortwave_from_sunshine_mj_m2_d(
        sunshine_h=220 / 31,
        daylight_h=sun.daylight_h(sunset_rad),
        extraterrestrial_mj_m2_d=sun.extraterrestrial_mj_m2_d(
            latitude_deg=-22.9, day_of_year_n=135
        ),
    )
    assert shine_mj_m2_d == pytest.approx(14.456, abs=0.01)
    assert evaporation.mm_from_mj_m2(shine_mj_m2_d) == pytest.approx(5.898, abs=0.005)


@pytest.mark.recalled
def test_example_10_in_its_parts():
    """Printed to 0.1 h and 0.1 MJ."""
    sunset_rad = sun.sunset_angle_rad(
        latitude_deg=-22.9, declination_rad=sun.declination_rad(135)
    )
    assert sun.daylight_h(sunset_rad) == pytest.approx(10.9, abs=0.05)
    shine_mj_m2_d = sun.extraterrestrial_mj_m2_d(latitude_deg=-22.9, day_of_year_n=135)
    assert shine_mj_m2_d == pytest.approx(25.1, abs=0.05)


def test_example_11_heat_lost_to_the_sky():
    """P. 87. Printed to 0.1 MJ."""
    glow_mj_m2_d = evaporation.net_longwave_mj_m2_d(
        day_high_c=25.1,
        night_low_c=19.1,
        vapour_pressure_kpa=2.1,
        relative_shortwave_frac=14.5 / 18.8,
    )
    assert glow_mj_m2_d == pytest.approx(3.5, abs=0.05)


def test_example_12_sun_kept():
    """P. 87. The book cuts 11.165 to 11.1, hence a whole last digit."""
    kept_mj_m2_d = evaporation.net_shortwave_mj_m2_d(14.5)
    assert kept_mj_m2_d == pytest.approx(11.1, abs=0.1)


@pytest.mark.recalled
def test_example_12_net_radiation():
    """P. 87. The book cuts a digit on the way, hence 0.1."""
    net_mj_m2_d = evaporation.net_radiation_mj_m2_d(
        day_high_c=25.1,
        night_low_c=19.1,
        vapour_pressure_kpa=2.1,
        shortwave_mj_m2_d=14.5,
        clear_sky_mj_m2_d=18.8,
    )
    assert net_mj_m2_d == pytest.approx(7.6, abs=0.1)


def test_example_13_heat_into_the_ground():
    """P. 90; the month itself does not count. Printed to 0.01."""
    soil_heat_mj_m2_d = evaporation.soil_heat_mj_m2_d(
        month_c=16.1, month_before_c=14.1, month_after_c=18.8
    )
    assert soil_heat_mj_m2_d == pytest.approx(0.33, abs=0.005)
    depth_mm = evaporation.mm_from_mj_m2(soil_heat_mj_m2_d)
    assert depth_mm == pytest.approx(0.13, abs=0.005)


def test_example_14_wind_at_2_m():
    """P. 92. Printed to 0.1 m/s."""
    wind_m_s = air.wind_speed_2m_m_s(wind_speed_m_s=3.2, height_m=10)
    assert wind_m_s == pytest.approx(2.4, abs=0.05)


def test_example_15_sun_from_warming():
    """P. 98, Lyon in July. Printed to 0.1 MJ."""
    above_mj_m2_d = sun.extraterrestrial_mj_m2_d(
        latitude_deg=45 + 43 / 60, day_of_year_n=196
    )
    assert above_mj_m2_d == pytest.approx(40.6, abs=0.05)
    shine_mj_m2_d = sun.shortwave_from_range_mj_m2_d(
        day_high_c=26.6, night_low_c=14.8, extraterrestrial_mj_m2_d=above_mj_m2_d
    )
    assert shine_mj_m2_d == pytest.approx(22.3, abs=0.05)


def bangkok_in_april():
    """Return what example 17 prints on its way; place and sunshine from memory."""
    above = sun.extraterrestrial_mj_m2_d(latitude_deg=13 + 44 / 60, day_of_year_n=105)
    light_h = sun.daylight_h(
        sun.sunset_angle_rad(
            latitude_deg=13 + 44 / 60, declination_rad=sun.declination_rad(105)
        )
    )
    shine = sun.shortwave_from_sunshine_mj_m2_d(
        sunshine_h=8.5, daylight_h=light_h, extraterrestrial_mj_m2_d=above
    )
    clear = sun.clear_sky_transmission_frac(2) * above
    day = {"day_high_c": 34.8, "night_low_c": 25.6}
    net = evaporation.net_radiation_mj_m2_d(
        **day,
        vapour_pressure_kpa=2.85,
        shortwave_mj_m2_d=shine,
        clear_sky_mj_m2_d=clear,
    )
    glow = evaporation.net_longwave_mj_m2_d(
        **day, vapour_pressure_kpa=2.85, relative_shortwave_frac=shine / clear
    )
    return {
        "above": above,
        "light_h": light_h,
        "shine": shine,
        "clear": clear,
        "kept": evaporation.net_shortwave_mj_m2_d(shine),
        "glow": glow,
        "net": net,
        "full_kpa": air.mean_saturation_vapour_pressure_kpa(**day),
        "ground": evaporation.soil_heat_mj_m2_d(month_c=30.2, month_before_c=29.2),
    }


def test_example_17_bangkok_in_april():
    """P. 110. Half of the last printed digit; gamma is printed rounded up."""
    april = bangkok_in_april()
    slope_kpa_c = air.saturation_slope_kpa_c(30.2)
    gamma_kpa_c = air.psychrometric_constant_kpa_c(air.air_pressure_kpa(2))
    assert april["full_kpa"] == pytest.approx(4.42, abs=0.005)
    assert slope_kpa_c == pytest.approx(0.246, abs=0.0005)
    assert gamma_kpa_c == pytest.approx(0.0674, abs=0.0001)
    assert april["net"] == pytest.approx(14.33, abs=0.005)
    assert april["ground"] == pytest.approx(0.14, abs=0.001)


@pytest.mark.parametrize(
    ("ground", "printed_mm_d"), [(True, 5.72), (False, 5.756)], ids=["month", "day"]
)
def test_example_17_the_ground_counts_in_a_month(ground, printed_mm_d):
    """P. 110. 5.756 is what libraries without that term answer (refet, pyfao56)."""
    april = bangkok_in_april()
    et_mm_d = evaporation.reference_evapotranspiration_mm_d(
        air_temperature_c=30.2,
        wind_speed_2m_m_s=2.0,
        vapour_deficit_kpa=april["full_kpa"] - 2.85,
        net_radiation_mj_m2_d=april["net"],
        air_pressure_kpa=air.air_pressure_kpa(2),
        soil_heat_mj_m2_d=april["ground"] if ground else 0.0,
    )
    assert et_mm_d == pytest.approx(printed_mm_d, abs=0.005)


@pytest.mark.recalled
def test_example_17_in_its_parts():
    """Printed to 0.01; 0.006 is half a digit and a hair."""
    april = bangkok_in_april()
    printed = {
        "above": 38.06,
        "light_h": 12.31,
        "shine": 22.65,
        "clear": 28.54,
        "kept": 17.44,
        "glow": 3.11,
    }
    assert {name: april[name] for name in printed} == pytest.approx(printed, abs=0.006)


def uccle_on_6_july():
    """Return the steps of example 18; the 9.25 h of sunshine are from memory."""
    day = {"day_high_c": 21.5, "night_low_c": 12.3}
    damp = air.vapour_pressure_kpa(air_temperature_c=12.3, relative_humidity_frac=0.84)
    dry = air.vapour_pressure_kpa(air_temperature_c=21.5, relative_humidity_frac=0.63)
    sunset_rad = sun.sunset_angle_rad(
        latitude_deg=50.8, declination_rad=sun.declination_rad(187)
    )
    above = sun.extraterrestrial_mj_m2_d(latitude_deg=50.8, day_of_year_n=187)
    shine = sun.shortwave_from_sunshine_mj_m2_d(
        sunshine_h=9.25,
        daylight_h=sun.daylight_h(sunset_rad),
        extraterrestrial_mj_m2_d=above,
    )
    clear = sun.clear_sky_transmission_frac(100) * above
    net = evaporation.net_radiation_mj_m2_d(
        **day,
        vapour_pressure_kpa=(damp + dry) / 2,
        shortwave_mj_m2_d=shine,
        clear_sky_mj_m2_d=clear,
    )
    return {
        "wind_m_s": air.wind_speed_2m_m_s(wind_speed_m_s=2.7778, height_m=10),
        "full_kpa": air.mean_saturation_vapour_pressure_kpa(**day),
        "vapour_kpa": (damp + dry) / 2,
        "light_h": sun.daylight_h(sunset_rad),
        "above": above,
        "shine": shine,
        "clear": clear,
        "net": net,
    }


def water_use_at_uccle_mm_d(full_kpa):
    july = uccle_on_6_july()
    return evaporation.reference_evapotranspiration_mm_d(
        air_temperature_c=16.9,
        wind_speed_2m_m_s=july["wind_m_s"],
        vapour_deficit_kpa=full_kpa - july["vapour_kpa"],
        net_radiation_mj_m2_d=july["net"],
        air_pressure_kpa=air.air_pressure_kpa(100),
    )


def test_example_18_uccle_on_6_july():
    """P. 113. Radiation printed to 0.01, pressures and wind to 0.001."""
    july = uccle_on_6_july()
    fine = {"wind_m_s": 2.078, "full_kpa": 1.997, "vapour_kpa": 1.409}
    assert {name: july[name] for name in fine} == pytest.approx(fine, abs=0.001)
    coarse = {"above": 41.09, "shine": 22.07, "clear": 30.90, "net": 13.28}
    assert {name: july[name] for name in coarse} == pytest.approx(coarse, abs=0.005)
    gamma_kpa_c = air.psychrometric_constant_kpa_c(air.air_pressure_kpa(100))
    assert air.saturation_slope_kpa_c(16.9) == pytest.approx(0.122, abs=0.0005)
    assert gamma_kpa_c == pytest.approx(0.0666, abs=0.0001)


def test_example_18_water_use():
    """P. 113. The book prints 0.1 mm/d, hence a tolerance of 0.05."""
    et_mm_d = water_use_at_uccle_mm_d(uccle_on_6_july()["full_kpa"])
    assert et_mm_d == pytest.approx(3.9, abs=0.05)


def test_example_18_to_the_digits_of_other_programs():
    """pyet 3.8803, refet ("asce") and pyfao56 3.8806: 0.0005 spans them."""
    july = uccle_on_6_july()
    et_mm_d = water_use_at_uccle_mm_d(july["full_kpa"])
    assert et_mm_d == pytest.approx(3.8803, abs=0.0005)
    assert july["light_h"] == pytest.approx(16.105, abs=0.001)
    kept = evaporation.net_shortwave_mj_m2_d(july["shine"])
    assert kept == pytest.approx(16.996, abs=0.001)
    assert kept - july["net"] == pytest.approx(3.712, abs=0.001)


def test_example_18_with_the_mean_temperature_reads_low():
    """HydPy's documentation gets 3.75 this way; it prints 0.01 mm/d."""
    et_mm_d = water_use_at_uccle_mm_d(air.saturation_vapour_pressure_kpa(16.9))
    assert et_mm_d == pytest.approx(3.75, abs=0.01)


def hour_at_n_diaye(air_temperature_c, relative_humidity_frac, wind_m_s, sun_mj, clear):
    """Return vapour, net radiation and water use of an hour of example 19."""
    full = air.saturation_vapour_pressure_kpa(air_temperature_c)
    vapour = air.vapour_pressure_kpa(
        air_temperature_c=air_temperature_c,
        relative_humidity_frac=relative_humidity_frac,
    )
    net = evaporation.net_radiation_mj_m2_h(
        air_temperature_c=air_temperature_c,
        vapour_pressure_kpa=vapour,
        shortwave_mj_m2_h=sun_mj,
        relative_shortwave_frac=clear,
    )
    et_mm_h = evaporation.reference_evapotranspiration_mm_h(
        air_temperature_c=air_temperature_c,
        wind_speed_2m_m_s=wind_m_s,
        vapour_deficit_kpa=full - vapour,
        net_radiation_mj_m2_h=net,
        air_pressure_kpa=air.air_pressure_kpa(8),
    )
    return full, vapour, net, et_mm_h


def afternoon_sun_at_n_diaye():
    """The book's clock is an hour behind UTC; 1 October is day 274."""
    begins_s = datetime(2003, 10, 1, 15, tzinfo=UTC).timestamp()
    return sun.extraterrestrial_mj_m2_h(unix_s=begins_s, **N_DIAYE)


def afternoon_at_n_diaye():
    clear_mj = sun.clear_sky_transmission_frac(8) * afternoon_sun_at_n_diaye()
    return hour_at_n_diaye(38, 0.52, 3.3, 2.450, 2.450 / clear_mj)


@pytest.mark.recalled
def test_example_19_n_diaye_in_the_afternoon():
    """Warmth, humidity and wind read in HydPy, the rest from memory.

    Printed to 0.001, the water use to 0.01 mm/h. The coefficient of the
    later standard would give 0.66.
    """
    full, vapour, net, et_mm_h = afternoon_at_n_diaye()
    assert afternoon_sun_at_n_diaye() == pytest.approx(3.543, abs=0.001)
    assert (full, vapour) == pytest.approx((6.625, 3.445), abs=0.001)
    assert net == pytest.approx(1.749, abs=0.001)
    assert evaporation.soil_heat_mj_m2_h(net) == pytest.approx(0.175, abs=0.001)
    assert et_mm_h == pytest.approx(0.63, abs=0.005)


@pytest.mark.recalled
def test_example_19_n_diaye_at_night():
    """02 to 03 h, four fifths of a clear sky. Printed to 0.001 and 0.01."""
    _, _, net, et_mm_h = hour_at_n_diaye(28, 0.90, 1.9, 0.0, 0.8)
    assert net == pytest.approx(-0.100, abs=0.001)
    assert evaporation.soil_heat_mj_m2_h(net) == pytest.approx(-0.050, abs=0.001)
    assert et_mm_h == pytest.approx(0.0, abs=0.005)


def test_the_hour_is_the_books_and_not_the_later_standards():
    """0.6269 with 0.34 s/m; refet, which has 0.24, answers 0.6560.

    Both are computed to four digits, hence 0.0005.
    """
    et_mm_h = afternoon_at_n_diaye()[-1]
    slope = air.saturation_slope_kpa_c(38)
    gamma = air.psychrometric_constant_kpa_c(air.air_pressure_kpa(8))
    books, later = (slope + gamma * (1 + each * 3.3) for each in (0.34, 0.24))
    assert et_mm_h == pytest.approx(0.6269, abs=0.0005)
    assert et_mm_h * books / later == pytest.approx(0.6560, abs=0.0005)


def test_example_20_vapour_from_the_dew_point():
    """P. 121. Printed to 0.01 kPa."""
    assert air.saturation_vapour_pressure_kpa(14.8) == pytest.approx(1.68, abs=0.005)


def july_at_lyon():
    """Return day, and sun above the air, of example 20; inputs read in a package."""
    day = {"day_high_c": 26.6, "night_low_c": 14.8}
    return day, sun.extraterrestrial_mj_m2_d(latitude_deg=45.72, day_of_year_n=196)


@pytest.mark.recalled
def test_example_20_lyon_with_half_the_data_missing():
    """P. 121. Printed to 0.01 mm/d."""
    day, above = july_at_lyon()
    vapour = air.saturation_vapour_pressure_kpa(14.8)
    net = evaporation.net_radiation_mj_m2_d(
        **day,
        vapour_pressure_kpa=vapour,
        shortwave_mj_m2_d=22.29,
        clear_sky_mj_m2_d=sun.clear_sky_transmission_frac(200) * above,
    )
    et_mm_d = evaporation.reference_evapotranspiration_mm_d(
        air_temperature_c=20.7,
        wind_speed_2m_m_s=2.0,
        vapour_deficit_kpa=air.mean_saturation_vapour_pressure_kpa(**day) - vapour,
        net_radiation_mj_m2_d=net,
        air_pressure_kpa=air.air_pressure_kpa(200),
    )
    assert et_mm_d == pytest.approx(4.56, abs=0.005)


@pytest.mark.recalled
def test_example_20_lyon_with_a_thermometer_only():
    """P. 121. Printed to 0.1 mm/d."""
    day, above = july_at_lyon()
    et_mm_d = evaporation.hargreaves_mm_d(**day, extraterrestrial_mj_m2_d=above)
    assert et_mm_d == pytest.approx(5.0, abs=0.05)
