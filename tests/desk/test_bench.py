import time

import pytest

from arbuscula.desk.bench import list_benches, show_bench
from arbuscula.desk.yard import add_yard
from arbuscula.kinds.place import Exposure
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import NotDoneError
from arbuscula.kinds.substrate import MixPart
from arbuscula.ledger.book import position
from tests.desk.stair import FIG, bench, desk_of, faults, later, rec, stair, tree


@pytest.fixture
def desk(tmp_path):
    return stair(tmp_path)


def labels(desk, name):
    return [row.label for row in show_bench(desk, name).trees]


def test_what_was_said_of_each_is_written_and_nothing_else(desk):
    each = {**FIG, "pot": "oval 18 cm", "mix": "3 pumice, 4 akadama", "crown": "medium"}
    bench(desk, "Bench 4", trees_n=2, each=each)
    first, second = (row.said for row in show_bench(desk, "Bench 4").trees)
    assert isinstance(first.pot, Pot)
    assert first.pot.length_mm == 180.0
    assert first.mix == {"pumice": MixPart(share=3), "akadama": MixPart(share=4)}
    assert (first.label, first.place_n, first.crown) == ("B4-1", 1.0, "medium")
    assert (second.label, second.place_n) == ("B4-2", 2.0)
    assert (first.leaf_area_m2, first.density, first.height_cm) == (None, None, None)


def test_all_are_one_batch_and_quick(desk):
    before, begun = position(desk.ledger()), time.perf_counter()
    added = bench(desk, "Low wall", trees_n=140, each=FIG)
    took_s = time.perf_counter() - begun
    assert position(desk.ledger()) == before + 141
    assert len({*added.ids}) == 141
    assert took_s < 3  # 0.3 s alone; three for a machine that others use as well


@pytest.mark.parametrize(
    ("name", "first"),
    [
        ("East window", "EW-1"),
        ("Glasshouse", "G-1"),
        ("Bench 13", "B13-1"),
        ("\u00d6stliche Bank", "\u00d6B-1"),
        ("Bunk 3", "Bu3-1"),  # Bench 3 has B3 already
        ("7", "7-1"),
        ("***", "T-1"),
    ],
)
def test_labels_come_from_the_name_of_the_bench(desk, name, first):
    assert bench(desk, name, trees_n=1, each=FIG).labels == (first,)


def test_no_two_benches_share_a_prefix(desk):
    names = [bench(desk, f"{w} 3", trees_n=1, each=FIG) for w in ("B", "Be", "Beam")]
    firsts = [added.labels[0] for added in names]
    assert len({label.casefold() for label in firsts} | {"b3-1"}) == 4


def test_a_label_once_given_is_not_given_again(desk):
    assert tree(desk, "Bench 3").tree.label == "B3-13"
    rec(desk, "B3-13", "died")
    assert tree(desk, "bench 3").tree.label == "B3-14"


@pytest.mark.parametrize(
    ("words", "deg"),
    [("south", 180), ("SE", 135), ("135", 135), ("north-west", 315), ("NNE", 22.5)],
)
def test_a_bench_faces_a_wind_or_degrees(desk, words, deg):
    assert bench(desk, "Sill", said={"facing_deg": words}).bench.facing_deg == deg


@pytest.mark.parametrize("words", ["up", "361", "-90", "southish", "N E S"])
def test_a_bearing_that_is_none(desk, words):
    odd = faults(desk, lambda: bench(desk, "Sill", said={"facing_deg": words}))
    assert odd["facing.not_read_in"]["found"] == words


@pytest.mark.parametrize("words", ["shade netting", "Shade-Netting", "shade_netting"])
def test_an_exposure_may_be_written_as_people_write(desk, words):
    added = bench(desk, "Tunnel", said={"exposure": words})
    assert added.bench.exposure is Exposure.SHADE_NETTING


def test_all_faults_of_a_wish_are_told_at_once(desk):
    said = {"facing_deg": "up", "exposure": "dark"}
    each = {"pot": "oval", "crown": "huge", "size": "3"}
    odd = faults(desk, lambda: bench(desk, "B 4", said=said, trees_n=3, each=each))
    assert odd.keys() == {
        "facing.not_read_in",
        "file.fault",
        "pot.not_read_in",
        "file.unknown_key",
        "file.missing_key",
    }


def test_what_is_said_of_no_trees_is_not_lost_in_silence(desk):
    assert [*faults(desk, lambda: bench(desk, "B 4", each=FIG))] == ["bench.how_many"]


def test_a_yard_has_one_bench_of_a_name_and_another_yard_its_own(desk):
    odd = faults(desk, lambda: bench(desk, "BENCH  3"), NotDoneError)
    assert [*odd] == ["name.taken"]
    add_yard(desk, "Lower yard", "Bergen")
    added = bench(desk, "Bench 3", yard="Lower yard", trees_n=1, each=FIG)
    assert added.key == "Lower yard/Bench 3"
    assert labels(desk, "lower yard/bench 3") == ["Be3-1"]
    odd = faults(desk, lambda: show_bench(desk, "Bench 3"))
    assert odd["name.several"]["near"] == "Stone Stair/Bench 3, Lower yard/Bench 3"


def test_of_several_yards_one_must_be_named(desk):
    add_yard(desk, "Lower yard", "Bergen")
    assert [*faults(desk, lambda: bench(desk, "Sill"))] == ["yard.which"]
    bench(desk, "Sill", yard="Lower yard")
    assert [b.key for b in list_benches(desk, "Lower yard").benches] == ["Sill"]
    assert len(list_benches(desk).benches) == 2


def test_without_a_yard_there_is_no_bench(tmp_path):
    desk = desk_of(tmp_path)
    assert [*faults(desk, lambda: bench(desk, "Sill"))] == ["desk.no_yard"]


def test_who_is_moved_stands_elsewhere(desk):
    bench(desk, "Glasshouse")
    rec(desk, "B3-4", "set down bench=glasshouse place_n=4")
    assert labels(desk, "Glasshouse") == ["B3-4"]
    assert "B3-4" not in labels(desk, "Bench 3")


def test_a_bench_is_set_again_and_what_was_not_said_stays(desk):
    bench(desk, "Tunnel", said={"exposure": "shade netting", "facing_deg": "south"})
    rec(later(desk, minutes=1), "Tunnel", "bench set shade_frac=0.5")
    said = show_bench(desk, "Tunnel").bench
    assert (said.exposure, said.facing_deg, said.shade_frac) == (
        Exposure.SHADE_NETTING,
        180.0,
        0.5,
    )
