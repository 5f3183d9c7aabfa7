"""How little light a fig lives by: the trials behind the lines of `benches.toml`.

interior: Ficus benjamina held a year at 12 to 20 umol (0.52 to 0.86 mol a day in
12 h). leea: moved from 15.7 to 0.26 or 0.09 mol a day it died.
"""

from pathlib import Path

import pytest

from arbuscula.desk.bench_climate import bench_months
from arbuscula.kinds.place import Bench, Exposure, Yard
from arbuscula.start import desk_at

pytestmark = pytest.mark.published

STAIR = Yard(
    name="Stone Stair",
    latitude_deg=45.7,
    longitude_deg=13.8,
    elevation_m=210.0,
    timezone="Europe/Rome",
)


def verdict(ppfd_umol_m2_s, lit_h=12.0):
    shelf = Bench(
        yard="stair",
        name="a shelf",
        exposure=Exposure.LAMP,
        ppfd_umol_m2_s=ppfd_umol_m2_s,
        lit_h=lit_h,
    )
    told = bench_months(desk_at(Path("not-needed")), STAIR, shelf)
    return [said.message_id for said in told.verdict]


@pytest.mark.parametrize("ppfd_umol_m2_s", [12.0, 16.0, 20.0])
def test_where_figs_were_held_a_year_they_are_kept(ppfd_umol_m2_s):
    assert verdict(ppfd_umol_m2_s) == ["bench.kept_dark"]


@pytest.mark.parametrize("light_mol_m2_d", [0.26, 0.09])
def test_where_figs_died_they_die(light_mol_m2_d):
    ppfd_umol_m2_s = light_mol_m2_d * 1e6 / 3600 / 12
    assert verdict(ppfd_umol_m2_s) == ["bench.dies_dark"]


def test_in_the_light_of_production_they_grow():
    """15.7 mol a day, from which the others were moved."""
    assert verdict(15.7e6 / 3600 / 14, lit_h=14.0) == ["bench.grows"]
