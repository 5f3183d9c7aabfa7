"""The season where a tree stands, and not where the weather service does."""

import pytest

from arbuscula.desk.bench_season import season_on_bench
from arbuscula.desk.season import seasons
from arbuscula.kinds.events import Sort
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.world import Place
from arbuscula.ledger.book import append
from tests.desk.made_yard import BEGUN, desk_with, event

STAIR = Place(
    name="Stone Stair",
    country="",
    latitude_deg=45.7,
    longitude_deg=13.8,
    elevation_m=210.0,
    timezone="Europe/Rome",
)


@pytest.fixture
def desk(tmp_path):
    desk = desk_with(tmp_path, trees_n=1)
    for key, exposure, said in (
        ("lamp", Exposure.LAMP, {"ppfd_umol_m2_s": 150.0, "lit_h": 14.0}),
        ("cellar", Exposure.ROOM, {}),
    ):
        noun = Bench(yard="stair", name=key.title(), exposure=exposure, **said)
        append(desk.ledger(), event(key, Sort.BENCH, key, noun, BEGUN))
    return desk


def test_an_open_terrace_has_the_season_of_its_place(desk):
    """Hours and days are drawn apart: their shares of years differ by a tenth."""
    here = season_on_bench(desk, "Terrace")
    (there,) = seasons(desk, [STAIR])
    assert here.growing.months == pytest.approx(there.growing.months, abs=0.12)
    assert here.dli_mol_m2_d == pytest.approx(there.dli_mol_m2_d, rel=0.08)
    assert here.outdoors.practice.out[:2] in ("04", "05")


def test_under_a_lamp_it_grows_all_year_and_in_a_cellar_never(desk):
    assert season_on_bench(desk, "Lamp").growing.kind == "all_year"
    cellar = season_on_bench(desk, "Cellar")
    assert cellar.growing.kind == "none"
    assert [part.message_id for part in cellar.sentence.parts][1:] == [
        "season.warm_always",
        "season.grows_never",
    ]


def test_it_is_told_of_what_stands_there_or_of_whom_one_asks_for(desk):
    assert season_on_bench(desk, "Terrace").species == "ficus-microcarpa"
    asked = season_on_bench(desk, "Terrace", species="juniperus-chinensis")
    assert asked.species == "juniperus-chinensis"
    assert asked.outdoors.floor_c == -10
