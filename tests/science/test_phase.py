"""The growth clock: a round year, its rests, and the phases between them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from arbuscula.science.phase import (
    HARDENED,
    REST,
    SLOWING,
    WAKING,
    growing_warmth_c,
    growth_clock,
    light_share_frac,
    night_share_frac,
    phase_shares_frac,
    seen_shares_frac,
)
from tests.jobs import CARE

YEAR = np.arange(365)
IDLE = 0.05


def summer(peak_c=10.0, middle_n=200):
    """Return a year of growth around its middle; the rest of it nothing grows."""
    off = np.abs((YEAR - middle_n + 182) % 365 - 182)
    return np.clip(peak_c * (1 - off / 90), 0, None)


def test_warmth_counts_above_the_base_and_up_to_the_warmest():
    warmth = growing_warmth_c(
        mean_c=np.array([10.0, 13.0, 20.0, 40.0]), base_c=13.0, warmest_c=30.0
    )
    assert warmth.tolist() == [0, 0, 7, 17]


def test_nights_and_light_share_growth_between_none_and_all():
    nights = night_share_frac(
        night_c=np.array([5.0, 15.0, 25.0]), stops_c=12, full_c=18, least_frac=0.2
    )
    assert nights.tolist() == [0.2, 0.5, 1.0]
    light = light_share_frac(
        light_mol_m2_d=np.array([0.0, 4.0, 20.0]), hold_mol_m2_d=2, enough_mol_m2_d=6
    )
    assert light.tolist() == [0, 0.5, 1]


def test_the_clock_counts_from_rest_to_rest_across_the_new_year():
    clock = growth_clock(summer(middle_n=5), idle_frac=IDLE)
    assert clock.since_c_d[200] == 0
    grows = clock.since_c_d > 0
    whole = (clock.since_c_d + clock.left_c_d - summer(middle_n=5))[grows]
    assert np.ptp(whole) == pytest.approx(0, abs=1e-9)  # float width
    assert clock.since_c_d[10] > clock.since_c_d[360] > clock.since_c_d[330]


def test_where_it_never_rests_there_is_no_beginning():
    clock = growth_clock(np.full(365, 14.0), idle_frac=IDLE)
    assert np.isinf(clock.since_c_d).all()
    shares = phase_shares_frac(clock, CARE)
    assert (shares == shares[0]).all()
    assert shares[0, REST] == shares[0, SLOWING] == 0


def test_it_wakes_flushes_hardens_and_slows_in_this_order():
    clock = growth_clock(summer(), idle_frac=IDLE)
    likely = phase_shares_frac(clock, CARE).argmax(axis=-1)
    grown = likely[likely != REST]
    first = {
        phase: int(np.argmax(grown == phase)) for phase in range(WAKING, SLOWING + 1)
    }
    assert sorted(first, key=first.get) == [*range(WAKING, SLOWING + 1)]
    assert likely[0] == REST


@given(arrays(np.float64, (2, 365), elements=st.floats(0, 15)))
def test_the_phases_of_each_day_add_up_to_one(rate):
    shares = phase_shares_frac(growth_clock(rate, idle_frac=IDLE), CARE)
    assert np.allclose(shares.sum(axis=-1), 1)  # float width
    assert (shares >= 0).all()


@given(arrays(np.float64, 365, elements=st.floats(0, 15)), st.integers(0, 364))
def test_a_year_turned_is_the_same_year(rate, turn):
    plain = growth_clock(rate, idle_frac=IDLE).since_c_d
    turned = growth_clock(np.roll(rate, turn), idle_frac=IDLE).since_c_d
    assert np.allclose(np.roll(plain, turn), turned)  # sums in another order


def test_buds_become_leaves_and_leaves_harden_with_growth_not_with_days():
    def phase(grown, *, is_hard=False):
        shares = seen_shares_frac(grown, is_hard=is_hard, year_c_d=1000.0, figures=CARE)
        return int(shares.argmax())

    assert [phase(c_d) for c_d in (0, 149, 151, 399, 401)] == [1, 1, 2, 2, 3]
    assert phase(0, is_hard=True) == phase(249, is_hard=True) == HARDENED
