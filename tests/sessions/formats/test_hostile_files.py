import pytest

from sessions.formats import Table, UnreadableFile, read_layouts, read_table_file
from tests.sessions.formats import hostile, table_writer


@pytest.mark.parametrize("name", hostile.REFUSED)
def test_hopeless_file_is_refused_with_its_sentence(name):
    make, filename, code, piece = hostile.REFUSED[name]
    with pytest.raises(UnreadableFile) as refused:
        read_table_file(make(), filename)
    assert refused.value.code == code
    assert piece in refused.value.sentence
    assert refused.value.sentence.endswith(".")


@pytest.mark.parametrize("name", hostile.TOLD)
def test_odd_file_is_read_and_the_oddity_told(name):
    make, filename, code = hostile.TOLD[name]
    read = read_layouts(make(), filename)
    assert read.layouts[0].row_numbers
    codes = [p.code for p in read.problems]
    assert codes == [] if code == "" else code in codes


def test_declared_dimension_is_not_believed():
    make, filename, _ = hostile.TOLD["declared dimension of a whole sheet"]
    assert read_table_file(make(), filename).tables == (Table("Throws", (("a", "b"), (1.0, None))),)


def test_formula_without_a_result_is_told_at_its_cell_and_others_keep_theirs():
    cells = (
        '<c r="A2"><f>1+1</f><v>2</v></c><c r="B2"><f>A2*2</f><v/></c>'
        '<c r="C2" t="str"><f>""</f><v></v></c><c r="D2"><f t="shared" si="0"/></c>'
    )
    data = hostile.workbook(hostile.row(1, "a", "b", "c", "d") + f'<row r="2">{cells}</row>')
    read = read_table_file(data, "a.xlsx")
    assert read.tables[0].rows[1] == (2.0, None, None, None)
    assert [(p.row, p.column) for p in read.problems] == [(2, "B"), (2, "D")]
    assert read.problems[0].sentence.startswith("Sheet “Throws”, row 2, column B: this cell holds a formula")


def test_formula_is_found_across_the_pieces_in_which_a_sheet_is_searched(monkeypatch):
    monkeypatch.setattr("sessions.formats.sheet_xml._CHUNK_BYTES", 7)
    make, filename, _ = hostile.TOLD["formula without a result"]
    assert [(p.row, p.column) for p in read_table_file(make(), filename).problems] == [(2, "B")]


def test_open_quotation_is_told_at_the_row_where_it_opens():
    make, filename, _ = hostile.TOLD["quotation that opens late"]
    (problem,) = read_table_file(make(), filename).problems
    assert problem.sentence.startswith("Row 3: a quotation mark opens in this row and never closes")


def test_error_values_of_a_workbook_are_missing_and_numbers_as_text_are_numbers():
    cells = '<c t="e"><v>#DIV/0!</v></c>' + hostile.number(3)
    data = hostile.workbook(
        hostile.row(1, "a", "b") + hostile.row(2, "12,5", hostile.number(2)) + f'<row r="3">{cells}</row>'
    )
    layout = read_layouts(data, "a.xlsx").layouts[0]
    assert layout.columns[0].values == (12.5, None)
    assert layout.columns[0].missing == ((3, "#DIV/0!"),)


def test_extension_is_compared_with_the_content():
    (note,) = read_table_file(table_writer.as_workbook(table_writer.wide()), "throws.CSV").problems
    assert note.sentence == "The name says text, the content is a workbook; it was read as a workbook."
    assert note.severity == "note"
