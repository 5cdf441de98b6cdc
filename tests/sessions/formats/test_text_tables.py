import pytest

from sessions.formats import read_layouts, read_table_file, understand_layout
from sessions.formats.cells import CellReader, cell_text, column_letter
from sessions.formats.delimiters import find_decimal_mark, find_delimiter


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [
        ("a;b;c\na;b;3,2\nc;d;4,5\n", ";"),
        ("a,b\n1;2,3\n4,5\n6,7\n", ","),
        ('name,note\nSam,"one; two; three"\nBen,"four; five; six"\n', ","),
        ('"Hill, Sam"\t1,5\n"Reyes, Jo"\t2,5\n', "\t"),
        ("1,2,3\n4,5,6\n", ","),
        ("x|y\n1,5|2,5\n3,5|4,5\n", "|"),
        ("one line\nanother line\n", None),
    ],
)
def test_delimiter_is_the_one_that_cuts_rows_alike(text, delimiter):
    assert find_delimiter(text) == delimiter


@pytest.mark.parametrize(
    ("cells", "delimiter", "mark", "doubt"),
    [
        (["12.5", "3"], ",", ".", ""),
        (["12,5", "3"], ";", ",", ""),
        (["1.234,5"], ";", ",", ""),
        (["1,234.5"], ",", ".", ""),
        (["1,412", "1,398"], ";", ",", "guessed_decimal_mark"),
        (["1,412"], ",", ".", "guessed_decimal_mark"),
        (["1.412", "1.398"], ";", ".", "guessed_decimal_mark"),
        (["0.412"], ";", ".", ""),
        (["12.5", "13.5", "14,5"], ";", ".", "mixed_decimal_marks"),
        (["12.03.2026", "Sam"], ";", ".", ""),
    ],
)
def test_decimal_mark_is_read_from_the_numbers_that_are_clear(cells, delimiter, mark, doubt):
    found = find_decimal_mark(cells, delimiter)
    assert (found.mark, found.doubt) == (mark, doubt)


@pytest.mark.parametrize(
    ("mark", "text", "cell"),
    [
        (".", "88.1", 88.1),
        (".", " 1,234.5 ", 1234.5),
        (",", "1.234,5", 1234.5),
        (",", "12,5", 12.5),
        (".", "−4.25", -4.25),
        (".", "1\u00a0234.5", 1234.5),
        (".", "1'234.5", 1234.5),
        (".", "+.5", 0.5),
        (".", "1.5e3", 1500.0),
        (".", "12,5", "12,5"),
        (".", "007", "007"),
        (".", "0", 0.0),
        (".", "0.50", 0.5),
        (".", "1_000", "1_000"),
        (".", "١٢", "١٢"),
        (".", "nan", "nan"),
        (".", "inf", "inf"),
        (".", "1e308", "1e308"),
        (".", "1e999", "1e999"),
        (".", "1234567890123456", "1234567890123456"),
        (".", "-", "-"),
        (".", "e5", "e5"),
        (".", "1.2.3", "1.2.3"),
        (".", '="0012"', "0012"),
        (".", "   ", None),
        (".", "\ufeff", None),
        (".", "=1+1", "=1+1"),
    ],
)
def test_text_becomes_a_number_only_when_it_is_one(mark, text, cell):
    read = CellReader(mark)[text]
    assert read == cell
    assert type(read) is type(cell)


def test_memory_of_cells_is_bounded_and_changes_no_answer(monkeypatch):
    monkeypatch.setattr("sessions.formats.cells.MEMORY_ENTRIES", 3)
    reader = CellReader(".")
    assert [reader[str(n)] for n in (1, 2, 3, 4, 5, 1)] == [1.0, 2.0, 3.0, 4.0, 5.0, 1.0]
    assert len(reader) <= 3


@pytest.mark.parametrize(
    ("index", "letter"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA"), (16383, "XFD")]
)
def test_column_letters_are_those_of_a_spreadsheet(index, letter):
    """ECMA-376 ends at column XFD, the 16,384th."""
    assert column_letter(index) == letter


def test_whole_numbers_are_written_back_as_typed():
    assert [cell_text(cell) for cell in (1043.0, 88.1, None, True, "x")] == ["1043", "88.1", "", "TRUE", "x"]


def test_reading_can_be_told_otherwise():
    data = "Name;Wert\nZoë;1,412\nJan;1,398\n".encode("cp1252")
    guessed = read_table_file(data, "a.csv")
    assert [p.code for p in guessed.problems] == ["guessed_encoding", "guessed_decimal_mark"]
    assert guessed.tables[0].rows[1] == ("Zoë", 1.412)
    told = read_table_file(data, "a.csv", encoding="mac_roman", delimiter=";", decimal_mark=".")
    assert told.problems == ()
    assert told.tables[0].rows[1] == ("ZoÎ", 1412.0)


@pytest.mark.parametrize("choice", [{"encoding": "rot13"}, {"delimiter": "x"}, {"decimal_mark": "x"}])
def test_choice_that_is_not_offered_is_the_callers_mistake(choice):
    with pytest.raises(ValueError, match="unknown"):
        read_table_file(b"a,b\n1,2\n", "a.csv", **choice)


def test_line_that_names_the_delimiter_is_obeyed_and_keeps_its_number():
    layout = read_layouts(b"sep=;\na;b\n1,2;3\n", "a.csv").layouts[0]
    assert layout.headers == ("a", "b")
    assert (layout.header_row, layout.row_numbers) == (2, (3,))


def test_a_million_blank_rows_hold_nothing():
    data = b"athlete,throw,value one\nSam,1,2.5\n" + b",,\n" * 1_000_000
    (table,) = read_table_file(data, "a.csv").tables
    assert len(table.rows) == 2
    assert understand_layout(table).row_numbers == (2,)


def test_quoted_line_break_stays_in_its_cell():
    table = read_table_file(b'a,b\n"one\ntwo",3\n', "a.csv").tables[0]
    assert table.rows[1] == ("one\ntwo", 3.0)


def test_unprintable_characters_leave_the_text_and_are_told():
    read = read_table_file(b"name,v\nSam\x07,3\n" + b"Ben,4\n" * 200, "a.csv")
    assert read.tables[0].rows[1] == ("Sam", 3.0)
    assert [p.code for p in read.problems] == ["control_characters"]
