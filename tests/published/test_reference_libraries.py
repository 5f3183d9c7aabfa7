"""Reference libraries: the same answers from other people's programs.

refet with its method "asce" (its method "refet" is another formula), pyet and
pyfao56 for evaporation; pvlib for the sun. All days and places are drawn with
a fixed seed.
"""

import numpy as np
import pandas as pd
import pvlib
import pyet
import pytest
import refet
from pyfao56.refet import ascedaily, ascehourly

from arbuscula.science import air, evaporation, sun

pytestmark = pytest.mark.published

DAYS_N = 1000
PLACES_N = 10  # pyet takes one latitude at a time


@pytest.fixture(scope="module")
def days():
    """Return a thousand days between the polar circles, wet, dry, calm, rough."""
    rng = np.random.default_rng(20260709)
    place = np.arange(DAYS_N) % PLACES_N
    latitude_deg = rng.uniform(-65, 65, PLACES_N)[place]
    elevation_m = rng.uniform(0, 3000, PLACES_N)[place]
    dates = pd.date_range("2023-01-01", periods=DAYS_N)
    day_of_year_n = dates.dayofyear.to_numpy(dtype=float)
    night_low_c = rng.uniform(-5, 25, DAYS_N)
    above = sun.extraterrestrial_mj_m2_d(
        latitude_deg=latitude_deg, day_of_year_n=day_of_year_n
    )
    return {
        "place": place,
        "dates": dates,
        "day_of_year_n": day_of_year_n,
        "latitude_deg": latitude_deg,
        "elevation_m": elevation_m,
        "night_low_c": night_low_c,
        "day_high_c": night_low_c + rng.uniform(1, 20, DAYS_N),
        "vapour_kpa": air.vapour_pressure_kpa(
            air_temperature_c=night_low_c,
            relative_humidity_frac=rng.uniform(0.3, 1, DAYS_N),
        ),
        "wind_10m_m_s": rng.uniform(0.2, 12, DAYS_N),
        "above": above,
        "shine": rng.uniform(0.1, 0.8, DAYS_N) * above,
    }


def water_use_mm_d(days):
    """Return ours, from what every library is given."""
    extremes = {name: days[name] for name in ("day_high_c", "night_low_c")}
    clear = sun.clear_sky_transmission_frac(days["elevation_m"]) * days["above"]
    return evaporation.reference_evapotranspiration_mm_d(
        air_temperature_c=(days["day_high_c"] + days["night_low_c"]) / 2,
        wind_speed_2m_m_s=air.wind_speed_2m_m_s(
            wind_speed_m_s=days["wind_10m_m_s"], height_m=10
        ),
        vapour_deficit_kpa=air.vapour_deficit_kpa(
            saturation_vapour_pressure_kpa=air.mean_saturation_vapour_pressure_kpa(
                **extremes
            ),
            vapour_pressure_kpa=days["vapour_kpa"],
        ),
        net_radiation_mj_m2_d=evaporation.net_radiation_mj_m2_d(
            **extremes,
            vapour_pressure_kpa=days["vapour_kpa"],
            shortwave_mj_m2_d=days["shine"],
            clear_sky_mj_m2_d=clear,
        ),
        air_pressure_kpa=air.air_pressure_kpa(days["elevation_m"]),
    )


def test_daily_water_use_is_refets(days):
    """It rounds the constant of the glow to 4.901e-9: at most 0.002 mm/d."""
    theirs = refet.Daily(
        tmin=days["night_low_c"],
        tmax=days["day_high_c"],
        ea=days["vapour_kpa"],
        rs=days["shine"],
        uz=days["wind_10m_m_s"],
        zw=10,
        elev=days["elevation_m"],
        lat=days["latitude_deg"],
        doy=days["day_of_year_n"],
        method="asce",
    ).eto()
    assert water_use_mm_d(days) == pytest.approx(theirs, abs=0.002)


def test_daily_water_use_is_pyfao56s(days):
    """It rounds the constant of the glow to 4.901e-9: at most 0.002 mm/d."""
    theirs = [
        ascedaily(
            "S",
            days["elevation_m"][n],
            days["latitude_deg"][n],
            days["day_of_year_n"][n],
            days["shine"][n],
            days["day_high_c"][n],
            days["night_low_c"][n],
            vapr=days["vapour_kpa"][n],
            wndsp=days["wind_10m_m_s"][n],
            wndht=10.0,
        )
        for n in range(DAYS_N)
    ]
    assert water_use_mm_d(days) == pytest.approx(theirs, abs=0.002)


def pyets_days(days, place):
    here = days["place"] == place
    index = days["dates"][here]
    return {
        name: pd.Series(column[here], index=index)
        for name, column in days.items()
        if name not in {"place", "dates"}
    }


@pytest.mark.parametrize("place", range(PLACES_N))
def test_daily_water_use_is_pyets(days, place):
    """It has the book's constants, and shows dew as nil; pi has ten figures."""
    here = pyets_days(days, place)
    wind_m_s = air.wind_speed_2m_m_s(wind_speed_m_s=here["wind_10m_m_s"], height_m=10)
    theirs = pyet.pm_fao56(
        tmean=(here["day_high_c"] + here["night_low_c"]) / 2,
        wind=wind_m_s,
        rs=here["shine"],
        tmax=here["day_high_c"],
        tmin=here["night_low_c"],
        ea=here["vapour_kpa"],
        elevation=float(here["elevation_m"].iloc[0]),
        lat=float(np.radians(here["latitude_deg"].iloc[0])),
    )
    ours = np.maximum(water_use_mm_d(days)[days["place"] == place], 0)
    assert ours == pytest.approx(theirs.to_numpy(), abs=1e-8)


@pytest.mark.parametrize("latitude_deg", [-80.0, -66.0, -20.0, 0.0, 45.7, 66.0, 80.0])
def test_the_years_days_are_pyets(latitude_deg):
    """The same equations; pyet writes pi with ten figures."""
    year = pd.date_range("2024-01-01", "2024-12-31")
    day_of_year_n = year.dayofyear.to_numpy(dtype=float)
    theirs = pyet.meteo_utils.extraterrestrial_r(year, np.radians(latitude_deg))
    ours = sun.extraterrestrial_mj_m2_d(
        latitude_deg=latitude_deg, day_of_year_n=day_of_year_n
    )
    assert ours == pytest.approx(theirs.to_numpy(), rel=1e-8, abs=1e-8)
    sunset_rad = sun.sunset_angle_rad(
        latitude_deg=latitude_deg, declination_rad=sun.declination_rad(day_of_year_n)
    )
    their_h = pyet.meteo_utils.daylight_hours(year, np.radians(latitude_deg))
    assert sun.daylight_h(sunset_rad) == pytest.approx(their_h, abs=1e-6)


def test_hargreaves_is_pyets(days):
    """Pyet lets the heat of vaporisation fall with warmth, by 2.5 % at most here."""
    here = pyets_days(days, place=0)
    mean_c = (here["day_high_c"] + here["night_low_c"]) / 2
    theirs = pyet.hargreaves(
        mean_c,
        here["day_high_c"],
        here["night_low_c"],
        lat=float(np.radians(here["latitude_deg"].iloc[0])),
    )
    ours = evaporation.hargreaves_mm_d(
        day_high_c=here["day_high_c"].to_numpy(),
        night_low_c=here["night_low_c"].to_numpy(),
        extraterrestrial_mj_m2_d=here["above"].to_numpy(),
    )
    assert ours == pytest.approx(theirs.to_numpy(), rel=0.025)


@pytest.fixture(scope="module")
def hours():
    """Return a thousand hours at any time, between the polar circles."""
    rng = np.random.default_rng(20261221)
    begins_s = rng.integers(0, 2_000_000_000 // 3600, DAYS_N) * 3600.0
    longitude_deg = rng.uniform(-180, 180, DAYS_N)
    local = pd.to_datetime(begins_s + 240 * longitude_deg, unit="s")
    return {
        "unix_s": begins_s,
        "latitude_deg": rng.uniform(-65, 65, DAYS_N),
        "longitude_deg": longitude_deg,
        "elevation_m": rng.uniform(0, 2500, DAYS_N),
        "day_of_year_n": local.dayofyear.to_numpy(dtype=float),
        "local_mean_h": (begins_s / 240 + longitude_deg) % 360 / 15,
        "air_temperature_c": rng.uniform(5, 38, DAYS_N),
        "relative_humidity_frac": rng.uniform(0.2, 0.95, DAYS_N),
        "wind_m_s": rng.uniform(0.3, 8, DAYS_N),
        "clear": rng.uniform(0.3, 1, DAYS_N),
    }


def sun_of(hours):
    place = ("unix_s", "latitude_deg", "longitude_deg")
    return sun.extraterrestrial_mj_m2_h(**{name: hours[name] for name in place})


def test_hourly_sun_above_the_air_is_refets(hours):
    """The same equations, sunrise and sunset hours too: float width."""
    theirs = refet.calcs.ra_hourly(
        np.radians(hours["latitude_deg"]),
        np.radians(hours["longitude_deg"]),
        hours["day_of_year_n"],
        (hours["unix_s"] / 3600 + 0.5) % 24,
    )
    assert sun_of(hours) == pytest.approx(theirs, abs=1e-9)


def as_by_the_later_standard(et_mm_h, hours):
    """Return our hour with 0.24 s/m in place of the book's 0.34."""
    slope = air.saturation_slope_kpa_c(hours["air_temperature_c"])
    pressure_kpa = air.air_pressure_kpa(hours["elevation_m"])
    gamma = air.psychrometric_constant_kpa_c(pressure_kpa)
    books, later = (
        slope + gamma * (1 + each * hours["wind_m_s"]) for each in (0.34, 0.24)
    )
    return et_mm_h * books / later


def test_hourly_water_use_is_pyfao56s_but_for_the_coefficient(hours):
    """Hours with the sun well up, for only then does it tell cloud from clear.

    The rest differs in the rounding of constants: 0.0001 mm/h.
    """
    lit = {name: column[sun_of(hours) > 2] for name, column in hours.items()}
    clear = sun.clear_sky_transmission_frac(lit["elevation_m"]) * sun_of(lit)
    damp = {n: lit[n] for n in ("air_temperature_c", "relative_humidity_frac")}
    vapour = air.vapour_pressure_kpa(**damp)
    full = air.saturation_vapour_pressure_kpa(lit["air_temperature_c"])
    ours = evaporation.reference_evapotranspiration_mm_h(
        air_temperature_c=lit["air_temperature_c"],
        wind_speed_2m_m_s=air.wind_speed_2m_m_s(
            wind_speed_m_s=lit["wind_m_s"], height_m=2
        ),
        vapour_deficit_kpa=full - vapour,
        net_radiation_mj_m2_h=evaporation.net_radiation_mj_m2_h(
            air_temperature_c=lit["air_temperature_c"],
            vapour_pressure_kpa=vapour,
            shortwave_mj_m2_h=lit["clear"] * clear,
            relative_shortwave_frac=lit["clear"],
        ),
        air_pressure_kpa=air.air_pressure_kpa(lit["elevation_m"]),
    )
    theirs = [
        ascehourly(
            "S",
            lit["elevation_m"][n],
            lit["latitude_deg"][n],
            lit["longitude_deg"][n],
            lit["longitude_deg"][n],  # a clock set by this meridian
            lit["day_of_year_n"][n],
            lit["local_mean_h"][n] + 0.5,
            lit["clear"][n] * clear[n],
            lit["air_temperature_c"][n],
            vapr=vapour[n],
            wndsp=lit["wind_m_s"][n],
            csreq="S",
        )[0]
        for n in range(len(clear))
    ]
    assert len(theirs) > 200
    assert as_by_the_later_standard(ours, lit) == pytest.approx(theirs, abs=1e-4)


def moments_s():
    """Return random moments of 1950 to 2050, and every turn of the year."""
    rng = np.random.default_rng(1950)
    first, last = (pd.Timestamp(f"{year}-01-01").timestamp() for year in (1950, 2051))
    years = pd.date_range("1950", "2051", freq="YS").to_numpy("datetime64[s]")
    turns = years.astype(float)
    return np.concatenate((rng.uniform(first, last, 2000), turns, turns - 1))


def directions(elevation_deg, azimuth_deg):
    elevation, azimuth = np.radians(elevation_deg), np.radians(azimuth_deg)
    flat = np.cos(elevation)
    return np.array((flat * np.sin(azimuth), flat * np.cos(azimuth), np.sin(elevation)))


def test_the_sun_stands_where_pvlib_sees_it():
    """All latitudes, poles too. The algorithm's own claim is 0.01 degrees.

    0.02 leaves room for what it leaves out: parallax (0.0024) and the drift
    of the clock against the Earth. Measured as the angle between directions,
    for near the zenith an azimuth means little.
    """
    when_s = moments_s()
    rng = np.random.default_rng(2050)
    latitude_deg = rng.uniform(-90, 90, len(when_s))
    latitude_deg[:60], latitude_deg[60:120] = 90, -90
    longitude_deg = rng.uniform(-180, 180, len(when_s))
    theirs = pvlib.solarposition.get_solarposition(
        pd.to_datetime(when_s, unit="s", utc=True),
        latitude_deg,
        longitude_deg,
        method="nrel_numpy",
    )
    ours = sun.sun_position(
        unix_s=when_s, latitude_deg=latitude_deg, longitude_deg=longitude_deg
    )
    true = directions(theirs["elevation"].to_numpy(), theirs["azimuth"].to_numpy())
    here = directions(ours.elevation_deg, ours.azimuth_deg)
    apart_deg = np.degrees(np.linalg.norm(true - here, axis=0))
    assert apart_deg.max() < 0.02


def test_the_suns_strength_is_pvlibs():
    """The short formula of the distance leaves out the planets: 0.03 %."""
    when_s = moments_s()
    theirs = pvlib.irradiance.get_extra_radiation(
        pd.to_datetime(when_s, unit="s", utc=True),
        solar_constant=sun.SOLAR_CONSTANT_W_M2,
        method="nrel",
    )
    ours = sun.extraterrestrial_normal_w_m2(when_s)
    assert ours == pytest.approx(theirs.to_numpy(), rel=3e-4)


def test_beam_and_sky_are_pvlibs():
    """The same correlation; the sun above 5 degrees, where both are plain."""
    rng = np.random.default_rng(1982)
    elevation_deg = rng.uniform(5, 90, DAYS_N)
    day_of_year_n = rng.integers(1, 366, DAYS_N)
    above = pvlib.irradiance.get_extra_radiation(day_of_year_n)
    flat = above * np.sin(np.radians(elevation_deg))
    shine = rng.uniform(0, 1, DAYS_N) * flat
    theirs = pvlib.irradiance.erbs(shine, 90 - elevation_deg, day_of_year_n)
    ours = sun.beam_and_sky(
        shortwave_w_m2=shine,
        extraterrestrial_normal_w_m2=above,
        elevation_deg=elevation_deg,
    )
    assert sun.diffuse_frac(theirs["kt"]) * shine == pytest.approx(theirs["dhi"])
    assert ours.diffuse_w_m2 == pytest.approx(theirs["dhi"])
    assert ours.beam_normal_w_m2 == pytest.approx(theirs["dni"])


DAYS = pd.date_range("2001-01-01 12:00", "2050-12-31 12:00", freq="5D", tz="UTC")


@pytest.fixture(scope="module")
def at_the_pole_deg():
    """Return the sun's height at the pole by pvlib's SPA: its declination."""
    return pvlib.solarposition.get_solarposition(DAYS, 90, 0).elevation.to_numpy()


def test_the_suns_declination_is_pvlibs(at_the_pole_deg):
    """The almanac's low precision: 0.01 degrees; SPA counts a parallax of 0.0024."""
    unix_s = np.array([day.timestamp() for day in DAYS])
    ours = sun.sun_position(unix_s=unix_s, latitude_deg=90.0, longitude_deg=0.0)
    assert ours.elevation_deg == pytest.approx(at_the_pole_deg, abs=0.01)


def test_the_books_declination_is_off_by_as_much_as_it_says(at_the_pole_deg):
    """One sine for the year: 0.4 degrees in the mean, 1.3 in the worst October."""
    day_of_year_n = DAYS.dayofyear.to_numpy(dtype=float)
    ours = np.degrees(sun.declination_rad(day_of_year_n))
    off = np.abs(ours - at_the_pole_deg)
    assert off.mean() == pytest.approx(0.4, abs=0.05)  # as printed, to a tenth
    assert off.max() == pytest.approx(1.3, abs=0.05)
    assert DAYS[off.argmax()].month == 10
