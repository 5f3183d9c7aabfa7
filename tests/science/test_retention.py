"""Retention: the curve of a substrate, of a mix, and back again."""

import numpy as np
import pytest

from arbuscula.kinds.substrate import Curve, MixPart, Pores
from arbuscula.kinds.values import Grade
from arbuscula.science import retention
from tests.substrates import library_substrates

SUBSTRATES = library_substrates()
EXACT = 1e-12  # sums in another order; only float64's own rounding

BARK = Curve(
    residual_frac=0.13,
    parts=(Pores(volume_frac=0.62, alpha_per_cm=0.091, shape_n=1.66),),
)


def test_a_medium_under_water_is_full():
    assert retention.water_frac(BARK, -3.0) == pytest.approx(0.75, abs=EXACT)
    assert retention.saturated_frac(BARK) == pytest.approx(0.75, abs=EXACT)


def test_a_gap_stays_a_gap():
    assert np.isnan(retention.water_frac(BARK, np.nan))
    assert np.isnan(retention.suction_holding_cm(BARK, np.nan))


def test_suction_turns_the_curve_round():
    suction_cm = np.array([0.5, 4.2, 10.0, 50.0, 1000.0])
    held_frac = retention.water_frac(BARK, suction_cm)
    back_cm = retention.suction_holding_cm(BARK, held_frac)
    assert back_cm == pytest.approx(suction_cm, rel=1e-9)  # ten decades halved 50 times


def test_suction_of_a_full_medium_is_nil_and_of_a_dry_one_without_bound():
    assert retention.suction_holding_cm(BARK, 0.80) == 0
    assert retention.suction_holding_cm(BARK, 0.05) == pytest.approx(1e7)


def test_a_mix_of_one_part_is_that_part():
    mixed = retention.mix_curve({"lava": 3.0}, SUBSTRATES)
    assert mixed == retention.substrate_curve(SUBSTRATES["lava"])


def test_a_mix_holds_what_its_parts_hold_by_volume():
    mixed = retention.mix_curve({"lava": 2.0, "peat": 1.0}, SUBSTRATES)
    lava, peat = (retention.substrate_curve(SUBSTRATES[k]) for k in ("lava", "peat"))
    expected = (
        2 * retention.water_frac(lava, 20.0) + retention.water_frac(peat, 20.0)
    ) / 3
    assert retention.water_frac(mixed, 20.0) == pytest.approx(expected, abs=EXACT)


def test_twice_the_grain_empties_at_half_the_suction():
    pumice = SUBSTRATES["pumice"]
    usual = retention.substrate_curve(pumice).parts[0]
    coarse = retention.substrate_curve(pumice, grain_mm=8).parts[0]
    assert coarse.alpha_per_cm == pytest.approx(2 * usual.alpha_per_cm)


def test_grain_leaves_the_pores_inside_as_they_are():
    pumice = SUBSTRATES["pumice"]
    usual, coarse = (
        retention.substrate_curve(pumice, grain_mm=mm).parts[1] for mm in (4, 8)
    )
    assert usual == coarse


def test_grain_says_nothing_about_bark():
    bark = SUBSTRATES["pine-bark"]
    assert retention.substrate_curve(bark, grain_mm=9) == retention.substrate_curve(
        bark
    )


def test_a_mix_takes_the_grain_of_each_part():
    fine = retention.mix_curve({"lava": MixPart(share=1, grain_mm=2)}, SUBSTRATES)
    usual = retention.mix_curve({"lava": MixPart(share=1)}, SUBSTRATES)
    assert retention.water_frac(fine, 4.0) > retention.water_frac(usual, 4.0) + 0.1


def test_a_mix_errs_by_five_points_and_one_part_by_its_own_range():
    assert retention.mix_error_frac({"lava": 1, "peat": 1}, SUBSTRATES) == 0.05
    lava_frac = retention.mix_error_frac({"lava": 1}, SUBSTRATES)
    assert lava_frac == pytest.approx((0.639 - 0.528) / 3.29)


def test_a_mix_is_trusted_as_its_weakest_number():
    assert retention.mix_grade({"peat": 1}, SUBSTRATES) == Grade.SECOND_HAND
    assert retention.mix_grade({"pine-bark": 1}, SUBSTRATES) == Grade.ASSUMED
    assert retention.mix_grade({"peat": 1, "lava": 1}, SUBSTRATES) == Grade.ASSUMED


def test_a_mix_weighs_what_its_parts_weigh():
    density = retention.mix_density_g_cm3({"lava": 1, "peat": 1}, SUBSTRATES)
    assert density == pytest.approx((1.1 + 0.1) / 2)


def test_mineral_grains_shed_nothing():
    mix = {"lava": 1, "pumice": 1, "akadama": 1, "calcined-clay": 1}
    assert retention.mix_shed_frac(mix, SUBSTRATES) == 0
    assert retention.mix_shed_below_frac(mix, SUBSTRATES) == 0


def test_peat_among_stones_sheds_by_its_share_and_from_its_own_line():
    mix = {"lava": 3, "peat": 1}
    assert retention.mix_shed_frac(mix, SUBSTRATES) == pytest.approx(0.5 / 4)
    assert retention.mix_shed_below_frac(mix, SUBSTRATES) == pytest.approx(0.3)


def test_a_coarse_surface_gives_less_before_it_dries():
    coarse_mm = retention.mix_stage_1_mm({"lava": 1}, SUBSTRATES)
    assert coarse_mm < retention.mix_stage_1_mm({"lava": 1, "peat": 1}, SUBSTRATES)


def test_a_weighing_tells_the_water_content():
    """Arithmetic: 1.5 L of soil, a pot of 600 g, 900 g of dry mix."""
    held_frac = retention.water_frac_from_g(
        pot_and_all_g=np.array([1800.0, 2100.0, 2300.0]),
        tare_g=600.0,
        dry_g=900.0,
        volume_ml=1500.0,
    )
    assert held_frac == pytest.approx([0.2, 0.4, 0.5333], abs=5e-5)  # as printed


def test_akadama_is_its_own_part_and_says_that_it_was_not_measured():
    akadama = SUBSTRATES["akadama"]
    assert akadama.saturated_frac.grade == Grade.ASSUMED
    assert akadama.bulk_density_g_cm3.grade == Grade.ASSUMED
    assert "borrowed from calcined clay" in akadama.note


@pytest.mark.parametrize("key", ["akadama", "calcined-clay", "lava", "pumice"])
def test_uniform_grains_empty_where_the_law_of_grains_says(key):
    """Alpha is 1 over the air entry; 5 % spans the four clays' rounding."""
    substrate = SUBSTRATES[key]
    entry_cm = retention.air_entry_cm(substrate.grain_mm.value)
    assert substrate.alpha_per_cm.value * entry_cm == pytest.approx(1, rel=0.05)


@pytest.mark.parametrize("key", sorted(SUBSTRATES))
def test_every_substrate_has_pores_and_says_what_is_missing(key):
    substrate = SUBSTRATES[key]
    full_frac = retention.saturated_frac(retention.substrate_curve(substrate))
    assert full_frac == pytest.approx(substrate.saturated_frac.value)
    assert len(substrate.note) > 80
