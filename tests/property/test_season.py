import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from arbuscula.science.season import stretch_around

YEARS = arrays(bool, st.integers(1, 60))


@given(YEARS, st.integers(0, 1000))
def test_a_stretch_is_inside_and_what_borders_it_is_not(inside, some):
    size = inside.size
    middle = some % size
    found = stretch_around(inside, middle_n=np.array(middle))
    first, lasts = int(found.first_n), int(found.lasts_n)
    places = (first + np.arange(lasts)) % size
    assert inside[places].all()
    assert (lasts > 0) == inside[middle]
    if lasts:
        assert middle in places
    if 0 < lasts < size:
        assert not inside[(first - 1) % size]
        assert not inside[(first + lasts) % size]


@given(YEARS, st.integers(0, 1000), st.integers(0, 1000))
def test_turning_the_year_turns_the_stretch(inside, some, turn):
    size = inside.size
    middle = some % size
    plain = stretch_around(inside, middle_n=np.array(middle))
    turned = stretch_around(
        np.roll(inside, turn), middle_n=np.array((middle + turn) % size)
    )
    assert turned.lasts_n == plain.lasts_n
    if plain.lasts_n < size:
        assert turned.first_n == (plain.first_n + turn) % size
