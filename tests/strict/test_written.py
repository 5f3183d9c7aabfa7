import tomllib

from hypothesis import given
from hypothesis import strategies as st

from arbuscula.strict.written import toml_text

SEEN = st.text(
    st.characters(exclude_categories=("Cc", "Cs"), exclude_characters="\x7f")
)
CELL = st.one_of(
    SEEN, st.booleans(), st.integers(-(10**9), 10**9), st.floats(-1e9, 1e9)
)
ROW = st.one_of(CELL, st.lists(SEEN, max_size=3))
INLINE = st.lists(st.dictionaries(SEEN, CELL, max_size=3), max_size=3)
TABLE = st.dictionaries(SEEN, st.one_of(ROW, INLINE), min_size=1, max_size=4)


@given(st.dictionaries(SEEN, st.one_of(ROW, TABLE), max_size=4))
def test_what_is_written_is_read_as_the_same_table(table):
    assert tomllib.loads(toml_text(table)) == table


def test_a_table_stands_under_a_head_of_its_own():
    text = toml_text({"a": 1, "Stone Stair": {"met-norway": {"contact": "x@y"}}})
    assert text == '"a" = 1\n\n["Stone Stair"."met-norway"]\n"contact" = "x@y"\n'
