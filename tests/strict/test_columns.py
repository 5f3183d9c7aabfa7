import numpy as np
import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.strict.columns import ROW, TIME, Column, table_from_csv

MASS = Column(name="mass_g", low=0.001, high=5000)
GIVEN = Column(name="given_ml", low=0, high=100, empty=np.inf)
LIGHT = (
    Column(name="shortwave_w_m2", low=-20, high=1500),
    Column(name="ppfd_umol_m2_s", low=-20, high=3200),
)
EIGHT, NINE = "2026-06-05T08:00+02:00", "2026-06-05T09:00+02:00"


def table(*lines, columns=(MASS,), one_of=()):
    return table_from_csv(
        "\n".join(lines), name="t.csv", columns=columns, one_of=one_of
    )


def faults(*lines, **asked):
    with pytest.raises(ArbusculaError) as caught:
        table(*lines, **asked)
    assert {fault.figures["file"] for fault in caught.value.faults} == {"t.csv"}
    return caught.value.faults


def fault(*lines, **asked):
    (only,) = faults(*lines, **asked)
    return only


def test_times_are_seconds_and_numbers_numbers():
    found = table("time,mass_g", f"{EIGHT},1000", "2026-06-05T07:00:30Z,900.5")
    assert found[TIME].tolist() == [1780639200, 1780642830]
    assert found["mass_g"].tolist() == [1000, 900.5]


def test_other_columns_spaces_and_an_order_of_their_own_do_no_harm():
    found = table(" note , mass_g,time ", f"dry, 1000 , {EIGHT}")
    assert found["mass_g"].tolist() == [1000]
    assert "note" not in found


def test_a_gap_comes_out_as_a_gap_and_a_soaking_without_end():
    lines = ["time,mass_g,given_ml", f"{EIGHT},,", f"{NINE},1000"]
    found = table(*lines, columns=(MASS, GIVEN))
    assert np.isnan(found["mass_g"]).tolist() == [True, False]
    assert found["given_ml"].tolist() == [np.inf, np.inf]


def test_empty_lines_are_passed_over_and_still_counted():
    found = table("", "time,mass_g", ",,,", f"{EIGHT},1000", "", f"{NINE},990", "", "")
    assert found[ROW].tolist() == [4, 6]
    odd = fault("time,mass_g", "", "", f"{EIGHT},x")
    assert odd.figures["row"] == "4"


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_lines_of_any_machine(ending):
    text = ending.join(["time,mass_g", f"{EIGHT},1000", f"{NINE},990"])
    found = table_from_csv(text, name="t.csv", columns=(MASS,))
    assert found["mass_g"].tolist() == [1000, 990]


@pytest.mark.parametrize(
    "lines", [[""], ["time,mass_g"], ["", ",", "time,mass_g", " , "]]
)
def test_a_table_without_rows_is_empty(lines):
    assert fault(*lines).message_id == "table.empty"


@pytest.mark.parametrize(
    ("part", "message_id"), [(";", "table.semicolons"), ("\t", "table.tabs")]
)
def test_columns_parted_by_something_else(part, message_id):
    assert fault(f"time{part}mass_g", f"{EIGHT}{part}1000").message_id == message_id


def test_a_missing_column_is_told_with_the_head_that_may_mean_it():
    odd = fault("time,mass_kg", f"{EIGHT},1")
    assert odd.message_id == "table.missing"
    assert odd.figures["column"] == "mass_g"
    assert odd.figures["found"] == "mass_kg"


def test_every_missing_column_is_told():
    odd = faults("a,b", "1,2", columns=(MASS, GIVEN))
    assert [f.figures["column"] for f in odd] == [TIME, "mass_g", "given_ml"]


def test_a_column_that_stands_there_twice():
    odd = fault("time,mass_g,mass_g", f"{EIGHT},1,2")
    assert (odd.message_id, odd.figures["column"]) == ("table.doubled", "mass_g")


def test_exactly_one_of_two_columns():
    both = "time,shortwave_w_m2,ppfd_umol_m2_s"
    odd = fault(both, f"{EIGHT},1,2", columns=(), one_of=LIGHT)
    assert odd.message_id == "table.one_of"
    none = fault("time", EIGHT, columns=(), one_of=LIGHT)
    assert none.figures["found"] == "none of them"
    found = table("time,ppfd_umol_m2_s", f"{EIGHT},2", columns=(), one_of=LIGHT)
    assert found["ppfd_umol_m2_s"].tolist() == [2]


@pytest.mark.parametrize(
    "cell",
    [
        "2026-06-05T08:00",
        "2026-06-05",
        "5.6.2026 8:00",
        "",
        "0206-06-05T08:00+02:00",
        "9999-12-31T23:59-12:00",
    ],
)
def test_a_time_needs_its_offset_and_a_year_of_ours(cell):
    odd = fault("time,mass_g", f"{cell},1000", f"{EIGHT},1000")
    assert (odd.message_id, odd.figures["found"]) == ("table.time", cell)
    assert odd.figures["row"] == "2"


def test_the_same_time_twice_wherever_it_stands():
    odd = fault("time,mass_g", f"{EIGHT},1", f"{NINE},1", f"{EIGHT},1", f"{NINE},1")
    assert odd.message_id == "table.same_time"
    assert (odd.figures["row"], odd.figures["rows"]) == ("4", "2")


def test_the_same_moment_in_two_zones_is_the_same_time():
    odd = fault("time,mass_g", f"{EIGHT},1", "2026-06-05T06:00Z,1")
    assert odd.message_id == "table.same_time"


def test_rows_out_of_order():
    odd = fault("time,mass_g", f"{NINE},1", f"{EIGHT},1")
    assert (odd.message_id, odd.figures["row"]) == ("table.unsorted", "3")


@pytest.mark.parametrize("cell", ["1_000", "nan", "inf", "1e999", "n/a", "12 g", "-"])
def test_a_cell_that_is_no_number(cell):
    odd = fault("time,mass_g", f"{EIGHT},{cell}")
    assert (odd.message_id, odd.figures["found"]) == ("table.not_a_number", cell)


@pytest.mark.parametrize("cell", ["-12", "0", "5001"])
def test_a_number_out_of_range_is_told_with_the_range(cell):
    odd = fault("time,mass_g", f"{EIGHT},{cell}")
    assert (odd.message_id, odd.figures["found"]) == ("table.outside", cell)
    assert odd.figures["allowed"] == "0.001 to 5000"


def test_a_column_may_have_its_own_words():
    warmth = Column(name="air_c", low=-60, high=55, outside="table.fahrenheit")
    odd = fault("time,air_c", f"{EIGHT},77", columns=(warmth,))
    assert odd.message_id == "table.fahrenheit"


def test_rows_with_one_fault_are_counted_not_listed():
    hours = [f"2026-06-05T{h:02}:00Z,-1" for h in range(24)]
    odd = fault("time,mass_g", *hours)
    assert (odd.figures["row"], odd.figures["rows"]) == ("2", "24")


def test_a_decimal_comma_parts_a_number_and_is_told():
    odd = fault("time,mass_g", f"{EIGHT},1000,5")
    assert (odd.message_id, odd.figures["heads"]) == ("table.long_row", "2")
    assert table("time,mass_g", f"{EIGHT},1000,,")["mass_g"].tolist() == [1000]


def test_a_quotation_mark_that_is_never_closed():
    odd = fault("time,mass_g", f'{EIGHT},"1000', f"{NINE},990")
    assert (odd.message_id, odd.figures["line"]) == ("table.not_csv", "3")


def test_a_cell_without_end_is_not_quoted_whole():
    assert (
        fault("time,mass_g", f"{EIGHT},{'9' * 200_000}").message_id == "table.not_csv"
    )
    odd = fault("time,mass_g", f"{EIGHT},{'9' * 100_000}")
    assert len(odd.figures["found"]) < 100


def test_different_faults_are_told_together():
    odd = faults("time,given_ml", "yesterday,-1", f"{NINE},x", columns=(MASS, GIVEN))
    assert [f.message_id for f in odd] == [
        "table.time",
        "table.missing",
        "table.not_a_number",
        "table.outside",
    ]
