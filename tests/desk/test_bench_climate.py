"""What a bench is like by month, and what may stand there."""

from pathlib import Path

import pytest

from arbuscula.desk.answers import data
from arbuscula.desk.bench_climate import bench_months, light_from
from arbuscula.kinds.place import Bench, Exposure, Yard
from arbuscula.kinds.said import ArbusculaError
from arbuscula.reports.words import Voice, sentence
from arbuscula.start import desk_at

JUNIPER = "juniperus-chinensis"
DESK = desk_at(Path("not-needed"))
STAIR = Yard(
    name="Stone Stair",
    latitude_deg=45.7,
    longitude_deg=13.8,
    elevation_m=210.0,
    timezone="Europe/Rome",
)
KUALA_LUMPUR = Yard(
    name="a buyer's home",
    latitude_deg=3.1,
    longitude_deg=101.7,
    timezone="Asia/Kuala_Lumpur",
)


def bench(exposure, **said):
    return Bench(yard="stair", name="a bench", exposure=exposure, **said)


def told(exposure, yard=STAIR, species="ficus-microcarpa", **said):
    return bench_months(DESK, yard, bench(exposure, **said), species=species)


def ids(answer):
    return [said.message_id for said in answer.verdict]


@pytest.fixture(scope="module")
def terrace():
    return told(Exposure.OPEN)


def test_a_year_has_twelve_months_with_spreads_in_order(terrace):
    assert [month.month_n for month in terrace.months] == [*range(1, 13)]
    for month in terrace.months:
        for name in ("dli_mol_m2_d", "air_low_c", "air_high_c", "ball_high_c"):
            spread = getattr(month, name)
            assert spread.p10 <= spread.p50 <= spread.p90
        assert month.air_low_c.p50 < month.air_mean_c < month.air_high_c.p50
        assert 0 < month.humidity_frac < 1


def test_the_light_of_an_open_terrace_is_that_of_the_place(terrace):
    """The season's own figures for it: 8 mol in December, 43 in June."""
    light = [month.dli_mol_m2_d.p50 for month in terrace.months]
    assert light[11] == pytest.approx(8.0, abs=1.0)
    assert light[5] == pytest.approx(43.4, abs=3.0)
    assert terrace.light_from == "sky"


def test_a_fig_left_on_a_terrace_all_winter_dies_of_cold_by_the_figure(terrace):
    assert ids(terrace)[0] == "bench.dies_cold"
    figures = terrace.verdict[0].figures
    assert figures["low_c"] < figures["line_c"] == 0
    assert terrace.months[6].suits == "grows"
    assert terrace.months[0].suits == "dies"


def test_a_juniper_bears_the_same_terrace():
    answer = told(Exposure.OPEN, species=JUNIPER)
    assert "bench.dies_cold" not in ids(answer)
    assert "bench.roots_cold" not in ids(answer)


def test_a_small_pot_on_a_terrace_freezes_through_and_a_tub_does_so_seldomer():
    cup, tub = (
        bench_months(DESK, STAIR, bench(Exposure.OPEN), species=JUNIPER, pot=pot)
        for pot in ("round 8 cm", "round 45 x 40 cm")
    )
    (said,) = [one for one in cup.verdict if one.message_id == "bench.freezes_through"]
    assert said.figures["frozen_frac"] > max(m.frozen_frac for m in tub.months)
    assert "bench.freezes_through" not in ids(told(Exposure.WINDOW, facing_deg=0.0))


def test_in_a_dark_room_a_fig_dies_by_the_figure():
    answer = told(Exposure.ROOM)
    assert ids(answer) == ["bench.dies_dark"]
    figures = answer.verdict[0].figures
    assert figures["light_mol_m2_d"] < figures["line_mol_m2_d"] == 0.5
    words = sentence(answer.verdict[0], Voice())
    assert "die" in words
    assert "0.5" in words


def test_behind_a_north_window_a_fig_is_kept_and_not_grown():
    answer = told(
        Exposure.WINDOW, facing_deg=0.0, obstruction_deg=20.0, glass_distance_cm=40.0
    )
    assert ids(answer) == ["bench.kept_dark"]
    assert "kept" in sentence(answer.verdict[0], Voice())
    assert {month.suits for month in answer.months} == {"kept"}
    assert answer.light_from == "geometry"


def test_a_bright_lamp_shelf_grows_figs_all_year():
    answer = told(Exposure.LAMP, ppfd_umol_m2_s=150.0, lit_h=14.0)
    assert ids(answer) == ["bench.grows"]
    assert answer.verdict[0].figures["months_n"] == 12
    assert answer.notes == ()


def test_a_cold_greenhouse_in_winter_only_keeps_and_says_why():
    january = told(Exposure.GLASSHOUSE, heat_to_c=8.0).months[0]
    assert january.suits == "kept"
    assert january.because.message_id == "suits.kept_cold"
    assert january.ball_low_c.p50 > 7
    assert january.frozen_frac == 0


def test_black_pots_in_a_shut_house_burn_their_roots():
    assert "bench.roots_burn" in ids(told(Exposure.GLASSHOUSE, ventilation="closed"))


def test_a_buyer_on_the_equator_needs_no_elevation_and_has_one_season():
    answer = told(Exposure.WINDOW, yard=KUALA_LUMPUR, facing_deg=0.0)
    light = [month.dli_mol_m2_d.p50 for month in answer.months]
    assert max(light) < 4 * min(light)
    assert all(month.air_low_c.p50 > 15 for month in answer.months)


def test_rain_reaches_the_open_and_no_window(terrace):
    assert terrace.rain_frac == 1
    assert told(Exposure.WINDOW).rain_frac == 0


def test_what_light_rests_on_decides_how_far_it_may_be_off():
    shares = told(Exposure.WINDOW)
    described = told(Exposure.WINDOW, facing_deg=90.0)
    metered = told(Exposure.WINDOW, facing_deg=90.0, light_ratio=0.8)
    wide, less, little = (
        answer.months[5].dli_mol_m2_d.p90 / answer.months[5].dli_mol_m2_d.p10
        for answer in (shares, described, metered)
    )
    assert wide > less > little
    assert [n.message_id for n in shares.notes] == [
        "bench.say_window",
        "bench.ask_meter",
    ]
    assert [n.message_id for n in described.notes] == ["bench.ask_meter"]
    assert metered.notes == ()


@pytest.mark.parametrize(
    ("one", "rests_on"),
    [
        (bench(Exposure.OPEN), "sky"),
        (bench(Exposure.SHADE_NETTING), "shares"),
        (bench(Exposure.SHADE_NETTING, shade_frac=0.5), "geometry"),
        (bench(Exposure.GLASSHOUSE), "shares"),
        (bench(Exposure.GLASSHOUSE, cover="film"), "geometry"),
        (bench(Exposure.LAMP), "shares"),
        (bench(Exposure.LAMP, ppfd_umol_m2_s=100.0), "meter"),
        (bench(Exposure.OPEN, light_ratio=0.7), "meter"),
    ],
)
def test_light_rests_on_what_was_said(one, rests_on):
    assert light_from(one) == rests_on


def test_the_same_question_has_the_same_answer(terrace):
    assert told(Exposure.OPEN) == terrace


def test_the_answer_is_data(terrace):
    written = data(terrace)
    assert written["schema"] == "arbuscula.bench/1"
    assert written["months"][6]["dli_mol_m2_d"]["p50"] > 30


def test_a_species_nobody_knows_is_refused():
    with pytest.raises(ArbusculaError):
        told(Exposure.OPEN, species="no such tree")
