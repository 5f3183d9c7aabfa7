from datetime import date, timedelta

import numpy as np
import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.weather.minmax import known_from_minmax, nights_from_words
from tests.world import WORLD, normals_of


@pytest.fixture
def usual():
    return normals_of("Trieste")


def table(
    tmp_path, usual, *, off_k, first="2025-01-01", days_n=365, head="night_min_c"
):
    """Write nights that lie so far off the usual ones, day by day."""
    begun = date.fromisoformat(first)
    days = [begun + timedelta(days=n) for n in range(days_n)]
    months = getattr(usual, head)
    rows = [f"{d},{months[d.month - 1] + off_k:.2f}" for d in days]
    path = tmp_path / "minmax.csv"
    path.write_text(f"date,{head}\n" + "\n".join(rows) + "\n")
    return path


def moved_k(known_c, months):
    return np.array([known_c[n] - months[n - 1] for n in range(1, 13)])


def test_a_year_of_cold_nights_is_believed_nearly_whole(tmp_path, usual):
    path = table(tmp_path, usual, off_k=-2.0)
    moved = moved_k(
        known_from_minmax(path, usual, WORLD).night_min_c, usual.night_min_c
    )
    assert (moved < -1.4).all()
    assert (moved > -2.0).all()


def test_five_years_are_believed_more_than_one(tmp_path, usual):
    one, five = (
        moved_k(
            known_from_minmax(
                table(tmp_path, usual, off_k=-2.0, days_n=365 * years_n), usual, WORLD
            ).night_min_c,
            usual.night_min_c,
        )
        for years_n in (1, 5)
    )
    assert (five < one).all()


def test_one_month_moves_itself_by_half_and_the_others_by_less(tmp_path, usual):
    """The table's error and a month's weather are about as large as each other."""
    path = table(tmp_path, usual, off_k=-2.0, first="2025-05-01", days_n=31)
    moved = moved_k(
        known_from_minmax(path, usual, WORLD).night_min_c, usual.night_min_c
    )
    assert -1.5 < moved[4] < -0.7
    others = np.delete(moved, 4)
    assert (others > moved[4]).all()
    assert (others < 0.5 * moved[4]).all()


def test_three_nights_tell_next_to_nothing(tmp_path, usual):
    path = table(tmp_path, usual, off_k=-2.0, first="2025-05-01", days_n=3)
    moved = moved_k(
        known_from_minmax(path, usual, WORLD).night_min_c, usual.night_min_c
    )
    assert np.abs(moved).max() < 0.6


def test_nights_tell_nothing_of_days_nor_days_of_nights(tmp_path, usual):
    nights = known_from_minmax(table(tmp_path, usual, off_k=1.0), usual, WORLD)
    assert nights.day_max_c == {}
    days = known_from_minmax(
        table(tmp_path, usual, off_k=1.0, head="day_max_c"), usual, WORLD
    )
    assert days.night_min_c == {}
    assert days.day_max_c[7] > usual.day_max_c[6]


def test_usual_nights_change_nothing(tmp_path, usual):
    path = table(tmp_path, usual, off_k=0.0)
    moved = moved_k(
        known_from_minmax(path, usual, WORLD).night_min_c, usual.night_min_c
    )
    assert moved == pytest.approx(np.zeros(12), abs=0.01)  # printed to 0.01


def test_gaps_are_passed_over(tmp_path, usual):
    path = tmp_path / "gaps.csv"
    path.write_text("date,night_min_c,day_max_c\n2025-05-01,,20\n2025-05-02,,\n")
    known = known_from_minmax(path, usual, WORLD)
    assert known.night_min_c == {}
    assert len(known.day_max_c) == 12


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("date,night_min_c\n1.5.2025,9\n", "table.date"),
        ("date,night_min_c\n2025-05-01,9\n2025-05-01,8\n", "table.same_time"),
        ("date,night_min_c\n2025-05-01,50\n", "table.fahrenheit"),
        ("date,night_min_c\n2025-05-01,cold\n", "table.not_a_number"),
        ("date,lowest\n2025-05-01,9\n", "table.missing"),
        ("night_min_c\n9\n", "table.missing"),
        ("", "table.empty"),
    ],
)
def test_a_broken_table_is_told(tmp_path, usual, text, fault):
    path = tmp_path / "minmax.csv"
    path.write_text(text)
    with pytest.raises(ArbusculaError) as refused:
        known_from_minmax(path, usual, WORLD)
    assert fault in [f.message_id for f in refused.value.faults]


def test_nights_are_read_by_name_or_number():
    said = nights_from_words(["May=9.5", "june = 12,7=14", "SEP=-1"])
    assert said == {5: 9.5, 6: 12.0, 7: 14.0, 9: -1.0}
    assert nights_from_words([]) == {}
