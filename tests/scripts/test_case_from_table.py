"""A foreign table becomes a case that `drydown` reads, whatever its units."""

import json
import math
import tomllib
from datetime import datetime, timedelta

import pytest
from click.testing import CliRunner

from scripts.case_from_table import main
from tests.faces.ask import ask

BEGINS = datetime(2026, 6, 1, 0, 0)
NAMED = {
    "air_temperature_f": "Temp F",
    "relative_humidity_percent": "RH",
    "ppfd_umol_m2_s": "PAR",
    "mass_kg": "Scale kg",
}
POT = ["shape=round", "diameter_mm=180", "depth_mm=90", "wall=plastic"]


def line(hour):
    at = BEGINS + timedelta(hours=hour)
    sun = max(0.0, math.sin((at.hour - 6) * math.pi / 12))
    air_f = 60 + 20 * sun
    mass_kg = 2.6 - 0.006 * hour
    return f"{at:%Y-%m-%d %H:%M};{air_f:.1f};55;{900 * sun:.0f};{mass_kg:.3f}"


@pytest.fixture
def logger(tmp_path):
    table = tmp_path / "logger.csv"
    rows = [line(hour) for hour in range(120)]
    table.write_text("\n".join(["When;Temp F;RH;PAR;Scale kg", *rows]) + "\n")
    return table


def make(folder, table, named, *more):
    words = [str(folder), "--weather", str(table), "--weights", str(table)]
    words += ["--time", "When", "--zone", "Europe/Rome"]
    words += [w for name, head in named.items() for w in ("--column", f"{name}={head}")]
    words += ["--constant", "wind_speed_2m_m_s=0.5", "--constant", "rain_mm=0"]
    words += [word for part in POT for word in ("--pot", part)]
    words += ["--forecast-from", "2026-06-04T08:00+02:00", "--horizon-h", "24"]
    return CliRunner().invoke(main, [*words, *more])


def test_a_loggers_table_becomes_a_case_that_drydown_reads(logger, tmp_path):
    said = make(tmp_path / "case", logger, NAMED)
    assert said.exit_code == 0, said.output
    case = tomllib.loads((tmp_path / "case/case.toml").read_text())
    assert case["pot"]["diameter_mm"] == 180
    first = (tmp_path / "case/weather.csv").read_text().splitlines()[1].split(",")
    assert float(first[1]) == pytest.approx((60 - 32) / 1.8, abs=0.01)
    answer = ask(tmp_path, "drydown", tmp_path / "case/case.toml", "--json")
    assert answer.exit_code == 0, answer.output
    (first, *_) = json.loads(answer.stdout)["score"]["horizons"]
    assert first["lost_ml"] == pytest.approx(24 * 6)  # the table falls 6 g an hour
    assert first["yesterday_error_frac"] == pytest.approx(0, abs=1e-6)


def test_per_cent_taken_as_a_share_is_refused(logger, tmp_path):
    slip = {k: v for k, v in NAMED.items() if k != "relative_humidity_percent"}
    said = make(tmp_path / "case", logger, slip | {"relative_humidity_frac": "RH"})
    assert said.exit_code != 0
    assert "Its unit must be another" in said.output
    assert not (tmp_path / "case/case.toml").exists()


def test_a_head_that_is_not_there_is_answered_with_those_that_are(logger, tmp_path):
    said = make(tmp_path / "case", logger, NAMED | {"mass_kg": "Scale"})
    assert said.exit_code != 0
    assert "Scale kg" in said.output


GLASSHOUSE = [
    "--column=air_temperature_c=T",
    "--column=vapour_deficit_kpa=VPD",
    "--column=ppfd_umol_m2_s=PAR",
    "--column=mass_g=W",
    "--constant=wind_speed_2m_m_s=0.5",
    "--constant=rain_mm=0",
    "--time=day + hour",
    "--time-format=%d/%m/%Y %H:%M",
    "--zone=+01:00",
    "--forecast-from=2026-06-03T12:00",
    "--pot=shape=round",
    "--pot=diameter_mm=260",
    "--pot=depth_mm=240",
]


@pytest.fixture
def house(tmp_path):
    """Return two pots in one table, a row every ten minutes, once with a hand on it."""
    rows = ["pot,day,hour,T,VPD,PAR,W"]
    for step in range(6 * 24 * 5):
        at = datetime(2026, 6, 1) + timedelta(minutes=10 * step)
        mass_g = 9000 - step + (800 if step in (300, 301) else 0)
        for pot, more_g in ((7, 0), (12, 500)):
            rows.append(f"{pot},{at:%d/%m/%Y,%H:%M},25,1.5,{step},{mass_g + more_g}")
    table = tmp_path / "house.csv"
    table.write_text("\n".join(rows) + "\n")
    return table


def cells(path, column):
    heads, *rows = (line.split(",") for line in path.read_text().splitlines())
    return [row[heads.index(column)] for row in rows]


def in_glasshouse(tmp_path, table, *more):
    words = [tmp_path / "case", "--weather", table, "--weights", table]
    said = CliRunner().invoke(main, [*map(str, words), *GLASSHOUSE, *more])
    assert said.exit_code == 0, said.output
    return tmp_path / "case"


def test_one_pot_of_many_in_a_glasshouse(house, tmp_path):
    case = in_glasshouse(tmp_path, house, "--where", "pot=7")
    humidity = {*cells(case / "weather.csv", "relative_humidity_frac")}
    # saturation at 25 degC is 3.168 kPa: FAO 56, annex 2, table 2.3
    assert [float(h) for h in humidity] == pytest.approx([1 - 1.5 / 3.168], abs=1e-3)
    assert cells(case / "weather.csv", "ppfd_umol_m2_s")[5] == "32.5"  # the hour's mean
    mass_g = [float(m) for m in cells(case / "weights.csv", "mass_g")]
    assert mass_g[:3] == [9000, 8994, 8988]
    assert ask(tmp_path, "drydown", case / "case.toml").exit_code == 0


def test_a_median_forgets_a_hand_on_the_scale(house, tmp_path):
    case = in_glasshouse(tmp_path, house, "--where", "pot=7", "--window-min", "60")
    mass_g = [float(m) for m in cells(case / "weights.csv", "mass_g")]
    assert mass_g[50] == pytest.approx(8700, abs=3)  # at step 300


@pytest.mark.parametrize(("stamp", "first"), [("start", "2.5"), ("end", "3.5")])
def test_a_time_is_the_start_or_the_end_of_what_was_measured(
    house, tmp_path, stamp, first
):
    case = in_glasshouse(tmp_path, house, "--where", "pot=7", "--stamp", stamp)
    assert cells(case / "weather.csv", "time")[0] == "2026-06-01T00:00:00+01:00"
    assert cells(case / "weather.csv", "ppfd_umol_m2_s")[0] == first


def test_an_unknown_pot_is_answered_with_those_that_are(house, tmp_path):
    words = [tmp_path / "case", "--weather", house, "--weights", house]
    said = CliRunner().invoke(main, [*map(str, words), *GLASSHOUSE, "--where", "pot=8"])
    assert said.exit_code == 2
    assert "no row has 8 in its column pot, but 7, 12." in " ".join(said.output.split())


def test_weather_ends_where_a_long_gap_begins(house, tmp_path):
    lines = house.read_text().splitlines()
    holed = [line for line in lines if ",04/06/2026,0" not in line]  # ten hours
    house.write_text("\n".join(holed) + "\n")
    case = in_glasshouse(tmp_path, house, "--where", "pot=7")
    assert cells(case / "weather.csv", "time")[-1] == "2026-06-03T23:00:00+01:00"
