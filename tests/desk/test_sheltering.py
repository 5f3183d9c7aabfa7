"""A made storm and a made cold night over a small yard. All of it is invented."""

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import numpy as np
import pytest

from arbuscula.desk.today import today
from arbuscula.kinds.events import LabelsExchanged, SetDown, Sort
from arbuscula.kinds.forecast import WeatherSort
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.tree import Tree
from arbuscula.ledger.book import append
from arbuscula.reports.night import tonight_in_words
from arbuscula.reports.words import Voice
from arbuscula.weather.archive import add_batch
from tests.desk.made_yard import (
    BEGUN,
    NOW,
    POT,
    batch,
    desk_with,
    event,
    forecast,
    observe,
    rows,
)


def bench(desk, key, exposure, **said):
    noun = Bench(yard="stair", name=key.title(), exposure=exposure, **said)
    append(desk.ledger(), event(f"b-{key}", Sort.BENCH, key, noun, BEGUN))


def tree(desk, key, bench="terrace", species="juniperus-chinensis", **said):
    noun = Tree(species=species, bench=bench, label=key.upper(), pot=POT, **said)
    append(desk.ledger(), event(f"t-{key}", Sort.TREE, key, noun, BEGUN))


@pytest.fixture
def desk(tmp_path):
    """Six figs and a juniper on a terrace; a warm house for two, a frame for four."""
    desk = desk_with(tmp_path, trees_n=6)
    bench(desk, "house", Exposure.GLASSHOUSE, heat_to_c=12.0, capacity_n=2)
    bench(desk, "frame", Exposure.COLD_FRAME, capacity_n=4)
    tree(desk, "j1")
    observe(desk)
    return desk


def cold(desk, night_c, **how):
    forecast(desk, members_n=20, night_c=night_c, spread_c=2.0, **how)
    return today(desk)


def words(answer):
    return "\n".join(tonight_in_words(answer, Voice()))


def test_a_cold_night_fills_the_warm_house_and_says_what_helps_the_others(desk):
    answer = cold(desk, 2.0)
    to = [coming.to for coming in answer.bring_in]
    assert {coming.label for coming in answer.bring_in} == {
        f"T{n}" for n in range(1, 7)
    }
    assert to.count("house") == 2
    assert all(coming.below_h.p50 > 5 for coming in answer.bring_in)
    assert all(coming.below_frac == 1 for coming in answer.bring_in)
    places = {place.bench: place for place in answer.carrying.places}
    house, frame = places["house"], places["frame"]
    assert (house.left_n, house.low_c.p50) == (0, pytest.approx(12.0))
    assert frame.left_n == 0
    assert answer.carrying.trips_n == 3
    assert answer.carrying.start_by < answer.carrying.dark
    short = [c for c in answer.bring_in if c.to == "frame"]
    assert all("shelter.falls_short" in _ids(c.cautions) for c in short)


def _ids(said):
    return [one.message_id for one in said]


def test_the_nights_after_are_told_where_somebody_would_come_in(desk):
    mild = cold(desk, 18.0, issued=NOW - timedelta(hours=2))
    assert "Night of" not in words(mild)
    assert "Night of Thu 9 Jul: lowest about" in words(cold(desk, 2.0))


def test_what_does_not_fit_is_covered_where_it_stands(desk):
    for n in (1, 2, 3):
        tree(desk, f"f{n}", bench="frame")
    answer = cold(desk, 2.0)
    left = [coming for coming in answer.bring_in if coming.to is None]
    assert len(left) == 3
    assert _ids(answer.carrying.if_left) == [
        "stays.battens",
        "stays.fleece",
        "stays.off_glass",
    ]
    told = words(answer)
    assert "fleece" in told
    assert "no room is left" in told


@pytest.fixture
def cold_house(tmp_path):
    """A fig in a glasshouse without a heater, and a room."""
    desk = desk_with(tmp_path, trees_n=0)
    bench(desk, "glass", Exposure.GLASSHOUSE, ventilation="vents", capacity_n=9)
    bench(desk, "room", Exposure.ROOM, capacity_n=9)
    tree(desk, "g1", bench="glass", species="ficus-microcarpa")
    observe(desk)
    return desk


def test_frost_comes_into_a_house_without_a_heater(cold_house):
    (coming,) = cold(cold_house, -6.0).bring_in
    assert (coming.label, coming.bench, coming.to) == ("G1", "glass", "room")
    assert -6 < coming.low_c.p50 < 0


def test_without_a_forecast_a_house_without_a_heater_is_unknown_too(cold_house):
    assert today(cold_house).tonight.parts[0].message_id == "cold.unknown"


def test_a_mild_night_leaves_a_tree_in_its_house(cold_house):
    answer = cold(cold_house, 15.0)
    assert answer.bring_in == ()
    assert answer.tonight.parts[0].message_id == "cold.stay"


def test_a_heated_house_keeps_its_trees(desk):
    tree(desk, "g1", bench="house", species="ficus-microcarpa")
    assert "G1" not in {coming.label for coming in cold(desk, -6.0).bring_in}


def test_back_into_its_house_after_mild_nights(cold_house):
    carried = SetDown(bench="room")
    at = NOW - timedelta(days=2)
    append(cold_house.ledger(), event("in", Sort.TREE, "g1", carried, at))
    (out,) = cold(cold_house, 16.0, issued=NOW - timedelta(hours=2)).go_out
    assert (out.label, out.bench, out.to) == ("G1", "room", "glass")


def test_vents_that_are_shut_are_opened_again_at_the_first_sun(desk):
    jobs = cold(desk, 2.0).carrying.jobs
    shut = {job.bench: job.at for job in jobs if job.do.message_id == "vents.close"}
    opened = {job.bench: job.at for job in jobs if job.do.message_id == "vents.open"}
    assert shut.keys() == opened.keys() == {"house", "frame"}
    assert all(opened[key] > shut[key] for key in shut)
    assert {at.hour for at in opened.values()} == {5}  # 9 July near Trieste


def test_a_hardy_tree_goes_to_the_frame_and_only_on_a_hard_night(desk):
    frost = cold(desk, 0.0, issued=NOW - timedelta(hours=2))
    assert "J1" not in {c.label for c in frost.bring_in}
    hard = cold(desk, -12.0)
    (juniper,) = [c for c in hard.bring_in if c.label == "J1"]
    assert juniper.to == "frame"
    assert juniper.roots_low_c < 0


def test_trees_that_stand_there_take_room_and_metres_count_as_pots(desk):
    tree(desk, "s1", bench="house", species="ficus-microcarpa")
    bench(desk, "sill", Exposure.WINDOW, length_m=0.6)
    answer = cold(desk, 2.0)
    to = [coming.to for coming in answer.bring_in]
    assert to.count("house") == 1
    assert to.count("sill") == 2  # 24 cm of crown and 4 of gap, twice
    sill = next(p for p in answer.carrying.places if p.bench == "sill")
    assert 0 <= sill.left_m < 0.3


def test_a_place_of_unknown_size_takes_them_and_is_asked_about(desk):
    bench(desk, "sill", Exposure.WINDOW)
    answer = cold(desk, 2.0)
    assert "carry.say_capacity" in _ids(answer.carrying.notes)
    assert None not in {coming.to for coming in answer.bring_in}


def test_a_colder_night_is_never_a_shorter_list(tmp_path):
    lists = []
    for n, night_c in enumerate((13.0, 11.0, 6.0, -3.0, -14.0)):
        desk = desk_with(tmp_path / str(n), trees_n=2)
        tree(desk, "j1")
        observe(desk)
        lists.append({c.label for c in cold(desk, night_c).bring_in})
    assert all(before <= after for before, after in pairwise(lists))
    assert lists[0] == set()
    assert lists[-1] == {"T1", "T2", "J1"}


def test_nights_without_a_fresh_forecast_are_unknown_and_not_mild(desk):
    forecast(desk, hours_n=40, night_c=14.0)
    answer = today(desk)
    assert [night.known for night in answer.nights] == [True, False, False]
    unknown = today(replace(desk, clock=lambda: NOW + timedelta(days=3)))
    assert unknown.tonight.parts[0].message_id == "cold.unknown"
    assert unknown.carrying is None


def test_a_tree_that_was_carried_in_goes_out_again_after_mild_nights(desk):
    carried = event(
        "in", Sort.TREE, "terrace-1", SetDown(bench="house"), NOW - timedelta(days=3)
    )
    append(desk.ledger(), carried)
    mild = cold(desk, 15.0, issued=NOW - timedelta(hours=2))
    (out,) = mild.go_out
    assert (out.label, out.bench, out.to) == ("T1", "house", "terrace")
    assert "may go out again, to Terrace" in words(mild)
    assert cold(desk, 11.0).go_out == ()


def test_labels_exchanged_indoors_send_each_tree_back_to_its_own_place(desk):
    """What T1 is called now stood in the tunnel; who reads the label goes wrong."""
    bench(desk, "tunnel", Exposure.SHADE_NETTING)
    tree(desk, "n1", bench="tunnel", species="ficus-microcarpa")
    for n, key in enumerate(("terrace-1", "n1")):
        at = NOW - timedelta(days=3, hours=n)
        carried = event(f"in-{n}", Sort.TREE, key, SetDown(bench="house"), at)
        append(desk.ledger(), carried)
    before = cold(desk, 15.0, issued=NOW - timedelta(hours=2))
    assert {out.label: out.to for out in before.go_out} == {
        "T1": "terrace",
        "N1": "tunnel",
    }
    mixed = LabelsExchanged(other="n1")
    at = NOW - timedelta(days=1)
    append(desk.ledger(), event("mixed", Sort.TREE, "terrace-1", mixed, at))
    after = today(desk)
    assert {out.label: out.to for out in after.go_out} == {
        "T1": "tunnel",
        "N1": "terrace",
    }


# Storm, heat, ice


def stormy(desk, wind_m_s):
    told = rows(NOW.replace(minute=0), 96, night_c=18.0)
    blown = replace(told, wind_speed_2m_m_s=np.full_like(told.rain_mm, wind_m_s))
    add_batch(desk.archive(), batch("made", WeatherSort.FORECAST, blown, NOW))
    return [alarm for alarm in today(desk).dangers if alarm.sort == "wind"]


def test_a_storm_ties_the_tall_and_sets_down_the_others(tmp_path):
    desk = desk_with(tmp_path, trees_n=0)
    tree(desk, "tall", height_cm=90.0, spread_cm=60.0)
    tree(desk, "low", height_cm=25.0, spread_cm=30.0)
    tree(desk, "shohin", height_cm=12.0, spread_cm=15.0)
    observe(desk)
    told = {a.do.message_id: a.trees for a in stormy(desk, 8.0)}
    assert told["wind.tie"][0] == "TALL"
    assert "SHOHIN" not in told["wind.tie"]
    assert not any("SHOHIN" in trees for trees in told.values())


def test_a_still_day_ties_nobody(desk):
    assert stormy(desk, 0.5) == []


def test_pots_in_a_heat_wave_are_shaded(desk):
    forecast(desk, night_c=26.0)
    (heat,) = [
        a for a in today(desk).dangers if a.sort == "heat" and a.bench == "terrace"
    ]
    assert heat.do.message_id == "heat.burns"
    assert "T1" in heat.trees
    assert "shade the pots" in words(today(desk))


def test_a_mild_day_raises_no_danger_at_all(tmp_path):
    desk = desk_with(tmp_path, trees_n=2)
    observe(desk, night_c=10.0)
    forecast(desk, night_c=11.0)
    assert today(desk).dangers == ()


def test_frozen_roots_are_kept_out_of_the_sun(desk):
    answer = cold(desk, -7.0)
    (ice,) = [a for a in answer.dangers if a.sort == "ice"]
    assert ice.trees == ("T6",)  # for which there is no room; the others are in


def test_a_downpour_out_of_warm_air_may_bring_hail_on_what_stands_open(desk):
    forecast(desk, night_c=18.0, rain_mm=14.0)
    (hail,) = [a for a in today(desk).dangers if a.sort == "hail"]
    assert hail.bench == "terrace"
    assert "no forecast here tells" in words(today(desk))
