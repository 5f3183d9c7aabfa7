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
    scores = json.loads(answer.stdout)["score"]
    assert scores is not None


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
