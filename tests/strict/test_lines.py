from arbuscula.strict.lines import line_at, lines_of

TEXT = '''\
latin = "Ficus"   # [no table]
note = """
warmth = 3
"""

[warmth]
warn_below_c = { value = 10, low = 8 }
"odd key" = 1

[[lives]]
life_d = 3

[[lives]]
life_d = 4
'''


def test_each_key_has_its_line():
    assert lines_of(TEXT) == {
        "latin": 1,
        "note": 2,
        "warmth": 6,
        "warmth.warn_below_c": 7,
        "warmth.odd key": 8,
        "lives.1": 10,
        "lives.1.life_d": 11,
        "lives.2": 13,
        "lives.2.life_d": 14,
    }


def test_what_is_missing_has_the_line_of_its_table():
    lines = lines_of(TEXT)
    assert line_at(lines, "warmth.base_c") == 6
    assert line_at(lines, "lives.2.stretch") == 13
    assert line_at(lines, "warmth.warn_below_c.low") == 7
    assert line_at(lines, "names") is None
