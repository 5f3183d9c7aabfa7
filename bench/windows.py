"""How bright is it behind windows to four sides, at 45 degrees north and south?

    python -m bench.windows

Prints photons for leaves in the hours that begin at 9, 12 and 15 by the sun, on clear
solstices: on the glass and just behind one pane, ours beside pvlib's; and ours further
in. pvlib parts beam, sky and ground by the same even sky; behind the pane each of two
surfaces passes what its `iam.physical` and `marion_diffuse` say. Light that is thrown
to and fro between the two, or sorted by the first, is in ours alone. Last come the
farthest apart.
"""

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pvlib

from arbuscula.catalog.library import read_library
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.weather import Spot, WeatherRows
from arbuscula.microclimate.shelter import rows_on_bench
from arbuscula.science import glazing, light, sky, sun
from arbuscula.start import LIBRARY

SIDES = {"E": 90.0, "S": 180.0, "W": 270.0, "N": 0.0}
DAYS = ("2026-06-21", "2026-12-21")
CLEAR = 0.65  # of the light above the air
HOURS = (9, 12, 15)
FAR_CM = (20.0, 100.0, 300.0)
ALBEDO = 0.2
GLASS = {"n": glazing.GLASS_INDEX, "K": 0, "L": 0}


def hours_of(day: str, spot: Spot) -> WeatherRows:
    """Return a clear day at a place on Greenwich's meridian, hour by hour."""
    from_s = datetime.fromisoformat(day).replace(tzinfo=UTC).timestamp()
    from_s = from_s + 3600.0 * np.arange(24)
    up_deg = _sun(from_s, spot).elevation_deg
    above = sun.extraterrestrial_w_m2(unix_s=from_s + 1800, elevation_deg=up_deg)
    flat = np.ones_like(from_s)
    return WeatherRows(
        from_s=from_s,
        until_s=from_s + 3600,
        air_temperature_c=15 * flat,
        relative_humidity_frac=0.6 * flat,
        wind_speed_2m_m_s=flat,
        rain_mm=0 * flat,
        shortwave_w_m2=CLEAR * above,
    )


def _sun(from_s: np.ndarray, spot: Spot) -> sun.SunPosition:
    return sun.sun_position(
        unix_s=from_s + 1800,
        latitude_deg=spot.latitude_deg,
        longitude_deg=spot.longitude_deg,
    )


def on_and_behind(rows: WeatherRows, spot: Spot, side_deg: float) -> np.ndarray:
    """Return light on the glass, ours and pvlib's, and just behind it."""
    at = _sun(rows.from_s, spot)
    above = sun.extraterrestrial_normal_w_m2(rows.from_s + 1800)
    parts = sun.beam_and_sky(
        shortwave_w_m2=rows.shortwave_w_m2,
        extraterrestrial_normal_w_m2=above,
        elevation_deg=at.elevation_deg,
    )
    ours = sky.plane_light(
        beam_normal_w_m2=parts.beam_normal_w_m2,
        diffuse_w_m2=parts.diffuse_w_m2,
        shortwave_w_m2=rows.shortwave_w_m2,
        elevation_deg=at.elevation_deg,
        azimuth_deg=at.azimuth_deg,
        facing_deg=side_deg,
        obstruction_deg=0.0,
        ground_albedo_frac=ALBEDO,
        opposite_ratio=0.1,
    )
    zenith_deg = 90 - at.elevation_deg
    theirs = pvlib.irradiance.get_total_irradiance(
        surface_tilt=90,
        surface_azimuth=side_deg,
        solar_zenith=zenith_deg,
        solar_azimuth=at.azimuth_deg,
        dni=parts.beam_normal_w_m2,
        ghi=rows.shortwave_w_m2,
        dhi=parts.diffuse_w_m2,
        albedo=ALBEDO,
        model="isotropic",
    )
    angle_deg = pvlib.irradiance.aoi(90, side_deg, zenith_deg, at.azimuth_deg)
    normal = LIBRARY_READ.glazings["single"].visible_frac.value
    pane = {"normal_frac": normal, "panes_n": 1}
    beam = glazing.transmitted_frac(incidence_deg=angle_deg, **pane)
    even = glazing.diffuse_transmitted_frac(**pane)
    their_beam = normal * pvlib.iam.physical(angle_deg, **GLASS) ** 2
    through = pvlib.iam.marion_diffuse("physical", 90, n=glazing.GLASS_INDEX, K=0, L=0)
    their_even = normal * through["sky"] ** 2
    glow = ours.sky_w_m2 + ours.ground_w_m2
    their_beam_w_m2 = np.asarray(theirs["poa_direct"])
    their_glow = np.asarray(theirs["poa_diffuse"])
    return np.array(
        [
            ours.beam_w_m2 + glow,
            their_beam_w_m2 + their_glow,
            ours.beam_w_m2 * beam + glow * even,
            their_beam_w_m2 * their_beam + their_glow * their_even,
        ]
    )


def further_in(rows: WeatherRows, spot: Spot, side_deg: float) -> list[np.ndarray]:
    """Return the light on a bench so far from that window."""
    window = Bench(
        yard="stair",
        name="Sill",
        exposure=Exposure.WINDOW,
        facing_deg=side_deg,
        glazing="single",
    )
    shelter = LIBRARY_READ.shelters[Exposure.WINDOW]
    benches = [replace(window, glass_distance_cm=far_cm) for far_cm in FAR_CM]
    return [rows_on_bench(rows, one, shelter, spot).shortwave_w_m2 for one in benches]


LIBRARY_READ = read_library(LIBRARY)


def main() -> None:
    """Print the table, and how far apart it is at most."""
    print("umol/m2/s          on the glass     behind it        20 cm  1 m   3 m")
    print("                   ours   pvlib     ours   pvlib     in")
    apart = []
    for latitude_deg in (45.0, -45.0):
        spot = Spot(latitude_deg=latitude_deg, longitude_deg=0.0, elevation_m=0.0)
        for day in DAYS:
            rows = hours_of(day, spot)
            for side, side_deg in SIDES.items():
                told = on_and_behind(rows, spot, side_deg)
                told = np.array([*told, *further_in(rows, spot, side_deg)])
                umol = light.sun_ppfd_umol_m2_s(told)
                apart.append(np.abs(umol[[0, 2]] - umol[[1, 3]]).max(axis=-1))
                for hour in HOURS:
                    on, pv_on, behind, pv_behind, *far = umol[:, hour]
                    print(
                        f"{latitude_deg:+.0f} {day[5:]} {side} {hour:2d} h"
                        f"{on:9.0f} {pv_on:6.0f} {behind:9.0f} {pv_behind:6.0f} "
                        f"{far[0]:9.0f} {far[1]:5.0f} {far[2]:5.0f}"
                    )
    on, behind = np.max(apart, axis=0)
    print(f"farthest apart: {on:.2g} on the glass, {behind:.0f} behind it")


if __name__ == "__main__":
    main()
