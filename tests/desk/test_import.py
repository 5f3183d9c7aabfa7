import time

import pytest

from arbuscula.desk.bench import list_benches, show_bench
from arbuscula.desk.record import undo
from arbuscula.desk.table_import import ImportWish, import_trees, look_at_table
from arbuscula.desk.tree import list_trees
from arbuscula.desk.yard import add_yard
from arbuscula.kinds.place import Exposure
from arbuscula.kinds.said import ArbusculaError, NotDoneError
from arbuscula.ledger.book import position
from arbuscula.strict.text import text_of_file
from tests.desk.stair import FIG, bench, faults, life, stair, tree

FIGS = "ficus-microcarpa"


@pytest.fixture
def desk(tmp_path):
    return stair(tmp_path, trees_n=4)


@pytest.fixture
def table(tmp_path):
    """Return a way to write a table of trees and to import it."""
    path = tmp_path / "trees.csv"

    def imported(desk, text, **wish):
        path.write_bytes(text.encode())
        wish = {"name": path.name, "text": text_of_file(path), **wish}
        return import_trees(desk, ImportWish(**wish))

    return imported


def rows(desk, name):
    return [row.said for row in show_bench(desk, name).trees]


def test_a_row_is_a_tree(desk, table):
    head = "label,species,bench,place,pot,mix,leaf_area_m2,height_cm,note\n"
    row = f'Elder,{FIGS},Bench 3,2.5,oval 18 cm,"1 pumice, 1 peat",0.25,38,leans\n'
    assert table(desk, head + row).labels == ("Elder",)
    elder = rows(desk, "bench 3")[2]
    assert (elder.label, elder.place_n, elder.leaf_area_m2) == ("Elder", 2.5, 0.25)
    assert elder.height_cm == 38.0
    assert elder.pot.length_mm == 180.0
    assert elder.mix.keys() == {"pumice", "peat"}
    assert (elder.crown, elder.trunk_mm) == (None, None)
    assert life(desk, "elder") == [("tree set", None), ("noted", None)]


def test_without_label_and_place_rows_follow_the_last_tree(desk, table):
    answer = table(desk, f"species,bench\n{FIGS},Bench 3\n{FIGS},bench 3\n")
    assert answer.labels == ("B3-5", "B3-6")
    assert [tree.place_n for tree in rows(desk, "Bench 3")][-2:] == [5.0, 6.0]


def test_labels_given_and_made_do_not_meet(desk, table):
    text = f"label,species,bench\nB3-9,{FIGS},Bench 3\n,{FIGS},Bench 3\n"
    assert table(desk, text).labels == ("B3-9", "B3-10")


def test_a_table_may_come_from_any_spreadsheet(desk, table):
    """A mark in front, capital heads, empty rows and columns, short rows."""
    text = (
        f"\ufeffSpecies,BENCH,Crown,,\n{FIGS},Bench 3\n,,,,\n{FIGS},Bench 3,Large,,\n"
    )
    table(desk, text)
    assert [tree.crown for tree in rows(desk, "Bench 3")][-2:] == [None, "large"]


def test_accents_survive_and_are_one_letter(desk, table):
    bench(desk, "Serre d'\u00e9t\u00e9")
    table(desk, f"label,species,bench\nE\u0301lan,{FIGS},serre d'e\u0301te\u0301\n")
    assert [tree.label for tree in rows(desk, "Serre d'\u00e9t\u00e9")] == ["\u00c9lan"]


def test_all_faults_are_told_at_once_with_row_and_column(desk, table):
    text = (
        "label,species,bench,pot,mix,crown,height_cm\n"
        f"B3-4,{FIGS},Bench 3,oval 18 cm,,,\n"  # row 2: label taken
        "X9,ficus-macrocarpa,Bench 4,oval,3 pumise,gigantic,\n"
        "X9,,,,,,tall\n"
    )
    with pytest.raises(ArbusculaError) as caught:
        table(desk, text)
    found = [(f.message_id, f.figures["file"]) for f in caught.value.faults]
    assert sorted(found) == [
        ("file.fault", "trees.csv, row 3"),  # crown
        ("file.fault", "trees.csv, row 4"),  # height_cm
        ("file.missing_key", "trees.csv, row 4"),  # bench
        ("file.missing_key", "trees.csv, row 4"),  # species
        ("import.label_taken", "trees.csv, row 2"),
        ("import.label_twice", "trees.csv, rows 3, 4"),
        ("library.unknown_species", "trees.csv, row 3, species"),
        ("library.unknown_substrate", "trees.csv, row 3, mix"),
        ("name.unknown_in", "trees.csv, row 3, bench"),
        ("pot.not_read_in", "trees.csv, row 3, pot"),
    ]
    assert len(list_trees(desk).trees) == 4


def test_a_fault_of_many_rows_is_told_once(desk, table):
    text = "species,bench\n" + "ficus-macrocarpa,Bench 3\n" * 40
    odd = faults(desk, lambda: table(desk, text))
    places = odd["library.unknown_species"]["file"]
    assert places == "trees.csv, rows 2, 3, 4 and 37 more, species"


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (f"species\n{FIGS}\n", "import.missing_column"),
        ("bench\nBench 3\n", "import.missing_column"),
        (f"species,bench,crwon\n{FIGS},Bench 3,\n", "import.unknown_column"),
        (f"species,bench,bench\n{FIGS},Bench 3,\n", "table.doubled"),
        (f"species,bench,leaf_area_m2\n{FIGS},Bench 3,0,25\n", "table.long_row"),
        ("species,bench\n", "table.empty"),
    ],
)
def test_a_table_that_is_none(desk, table, text, fault):
    assert [*faults(desk, lambda: table(desk, text))] == [fault]


def test_semicolons_part_columns_where_the_comma_is_decimal(desk, table):
    text = (
        "species;bench;pot;leaf_area_m2;mix;note\n"
        f"{FIGS};Bench 3;oval 18,5 cm;0,25;3,5 pumice, 4 akadama;about 1,5 m off\n"
    )
    wish = ImportWish(name="trees.csv", text=text)
    seen = look_at_table(desk, wish)
    assert [note.message_id for note in seen.notes] == ["import.semicolons"]
    (line,) = seen.trees
    assert line.tree.leaf_area_m2 == 0.25
    assert line.tree.pot.length_mm == 185
    assert line.tree.mix["pumice"].share == 3.5
    assert line.note == "about 1,5 m off"
    same = table(desk, text)
    assert [note.message_id for note in same.notes] == ["import.semicolons"]


def test_a_table_with_commas_is_read_as_it_stands(desk, table):
    text = f"species,bench,pot\n{FIGS},Bench 3,oval 18.5 cm\n"
    assert table(desk, text).notes == ()


def test_benches_are_made_only_if_asked_for(desk, table):
    text = f"species,bench\n{FIGS},Table 1\n{FIGS},Bench 3\n{FIGS},table  1\n"
    assert "name.unknown_in" in faults(desk, lambda: table(desk, text))
    answer = table(desk, text, make_benches=True)
    assert answer.benches == ("Table 1",)
    assert answer.labels == ("T1-1", "B3-5", "T1-2")
    made = {row.key: row.bench for row in list_benches(desk).benches}["Table 1"]
    assert made.exposure is Exposure.OPEN


def test_a_new_bench_needs_a_name_that_is_free(desk, table):
    tree(desk, "Bench 3", "Elder")
    text = f"species,bench\n{FIGS},Elder\n"
    odd = faults(desk, lambda: table(desk, text, make_benches=True))
    assert odd["import.bench_taken"]["file"] == "trees.csv, row 2, bench"
    assert len(odd) == 1


def test_of_two_benches_of_a_name_the_yards_own_is_meant(desk, table):
    add_yard(desk, "Lower yard", "Bergen")
    bench(desk, "Bench 3", yard="Lower yard")
    text = f"species,bench\n{FIGS},Bench 3\n"
    assert "yard.which" in faults(desk, lambda: table(desk, text))
    table(desk, text, yard="lower yard")
    assert len(rows(desk, "Lower yard/Bench 3")) == 1


def test_a_table_taken_in_twice_is_refused_by_its_labels(desk, table):
    text = f"label,species,bench\nElder,{FIGS},Bench 3\n"
    table(desk, text)
    assert [*faults(desk, lambda: table(desk, text))] == ["import.label_taken"]


def test_what_was_taken_back_can_be_taken_in_again(desk, table):
    text = f"label,species,bench\nElder,{FIGS},Bench 3\n"
    (event_id,) = table(desk, text).ids
    undo(desk, event_id)
    table(desk, text)
    assert [tree.label for tree in rows(desk, "Bench 3")][-1] == "Elder"


def test_two_thousand_trees_come_in_at_once(desk, table):
    text = "species,bench,crown,pot\n" + f"{FIGS},Bench 3,large,oval 18 cm\n" * 2000
    begun = time.perf_counter()
    assert len(table(desk, text).labels) == 2000
    assert time.perf_counter() - begun < 20  # 2 s alone; a guard against a square
    assert tree(desk, "Bench 3", said=FIG).tree.label == "B3-2005"


# A look first


def wish(text, **how):
    return ImportWish(name="trees.csv", text=text, **how)


def test_a_look_shows_what_would_be_written_and_writes_nothing(desk):
    text = f"label,species,bench,crown,note\nElder,{FIGS},Bench 3,large,leans\n"
    text += f",{FIGS},Table 1,,\n"
    before = position(desk.ledger())
    seen = look_at_table(desk, wish(text, make_benches=True))
    assert position(desk.ledger()) == before
    assert (seen.rows_n, seen.benches, seen.faults) == (2, ("Table 1",), ())
    told = [
        (t.row_n, t.tree.label, t.bench, t.tree.place_n, t.note) for t in seen.trees
    ]
    assert told == [
        (2, "Elder", "Bench 3", 5.0, "leans"),
        (3, "T1-1", "Table 1", 1.0, None),
    ]
    taken = import_trees(desk, wish(text, make_benches=True, digest=seen.digest))
    assert taken.labels == ("Elder", "T1-1")


def test_a_look_tells_the_same_faults_as_taking_in_each_by_its_cells(desk):
    text = (
        "label,species,bench,crwon,pot\n"
        f"B3-4,{FIGS},Bench 3,,oval\n"
        "X9,ficus-macrocarpa,Bench 4,,\n"
    )
    seen = look_at_table(desk, wish(text))
    assert seen.trees == ()
    assert [(fault.rows_n, fault.column) for fault in seen.faults] == [
        ((), "crwon"),
        ((2,), "label"),
        ((2,), "pot"),
        ((3,), "species"),
        ((3,), "bench"),
    ]
    with pytest.raises(ArbusculaError) as caught:
        import_trees(desk, wish(text))
    assert caught.value.faults == tuple(fault.said for fault in seen.faults)


def test_nothing_is_taken_in_that_was_not_looked_at(desk):
    """The book grew meanwhile, and bare rows would get other labels."""
    text = f"species,bench\n{FIGS},Bench 3\n"
    seen = look_at_table(desk, wish(text))
    import_trees(desk, wish(text, digest=seen.digest))
    odd = faults(
        desk, lambda: import_trees(desk, wish(text, digest=seen.digest)), NotDoneError
    )
    assert [*odd] == ["import.changed"]


def test_what_was_copied_out_of_a_spreadsheet_has_tabs(desk):
    text = f"species\tbench\tmix\r\n{FIGS}\tBench 3\t1 pumice, 1 peat\r\n"
    (line,) = look_at_table(desk, wish(text)).trees
    assert line.tree.mix.keys() == {"pumice", "peat"}
