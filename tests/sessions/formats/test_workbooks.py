"""Workbooks against the library's own full reader, and XML that is written by hand."""

import datetime as dt
import io

import openpyxl
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from sessions.formats import UnreadableFile, read_table_file
from tests.sessions.formats import hostile, table_writer


def mixed_workbook(epoch=None) -> openpyxl.Workbook:
    book = openpyxl.Workbook()
    if epoch:
        book.epoch = epoch
    sheet = book.active
    sheet.append(["Athlete", "Date", "At", "Clock", "Took", "Value", "Fine"])
    sheet.append([])
    instant = dt.datetime(2026, 3, 14, 9, 5, 7)
    sheet.append(["Zoë", dt.date(2026, 3, 14), instant, dt.time(9, 5), dt.timedelta(hours=30), 1.5, True])
    sheet.append([None, None, None, None, None, -2, False])
    sheet["J9"] = "far"
    return book


@pytest.mark.parametrize("epoch", [None, CALENDAR_MAC_1904])
def test_cells_are_those_that_the_library_reads(epoch):
    data = table_writer.saved(mixed_workbook(epoch))
    expected = []
    for row in openpyxl.load_workbook(io.BytesIO(data), data_only=True).active.iter_rows(values_only=True):
        cells = [value.date() if type(value) is dt.datetime and value.time() == dt.time(0) else value for value in row]
        cells = [str(cell) if isinstance(cell, dt.time | dt.timedelta) else cell for cell in cells]
        expected.append(tuple(cells) if any(cell is not None for cell in cells) else ())
    (table,) = read_table_file(data, "a.xlsx").tables
    assert table.rows == tuple(expected)
    assert table.rows[2][1] == dt.date(2026, 3, 14)
    assert [type(cell) for cell in table.rows[3][5:7]] == [float, bool]


def test_pronunciation_beside_a_text_is_not_read():
    """ECMA-376 part 1, 18.4.6: <rPh> is a phonetic run."""
    cell = '<c t="inlineStr"><is><r><t>a</t></r><r><t>b</t></r><rPh sb="0" eb="1"><t>said</t></rPh></is></c>'
    data = hostile.workbook(hostile.row(1, cell, "c"))
    assert read_table_file(data, "a.xlsx").tables[0].rows == (("ab", "c"),)


def test_names_with_a_prefix_are_the_same_names():
    xml = (
        b'<x:worksheet xmlns:x="http://purl.oclc.org/ooxml/spreadsheetml/main"><x:sheetData><x:row r="1">'
        b'<x:c r="B1"><x:v>2</x:v></x:c></x:row></x:sheetData></x:worksheet>'
    )
    data = hostile.workbook("", extra={"xl/worksheets/sheet1.xml": xml})
    assert read_table_file(data, "a.xlsx").tables[0].rows == ((None, 2.0),)


@pytest.mark.parametrize(
    "rows",
    [
        '<row r="2"><c><v>1</v></c></row><row r="1"><c><v>1</v></c></row>',
        '<row r="1"><c r="B1"><v>1</v></c><c r="A1"><v>1</v></c></row>',
        '<row r="1"><c t="s"><v>0</v></c></row>',
        '<row r="1"><c t="s"><v>-1</v></c></row>',
        '<row r="1"><c r="1"><v>1</v></c></row>',
        '<row r="1"><c r="ABCDE1"><v>1</v></c></row>',
    ],
)
def test_sheet_that_contradicts_itself_is_damaged(rows):
    with pytest.raises(UnreadableFile) as refused:
        read_table_file(hostile.workbook(rows), "a.xlsx")
    assert refused.value.code == "damaged_workbook"


def shared(index: int) -> str:
    return f'<c t="s"><v>{index}</v></c>'


TEXTS = (
    "<t>one</t>",
    "<r><t>t</t></r><r><t xml:space='preserve'>wo </t></r><rPh sb='0' eb='1'><t>said</t></rPh>",
    "<t>2,5</t>",
)


def test_shared_texts_are_put_in_their_cells():
    """ECMA-376 part 1, 18.4.8: an item is one text or several runs."""
    rows = hostile.row(1, shared(1), shared(0)) + hostile.row(2, shared(2), shared(0))
    data = hostile.with_shared_texts(rows, *TEXTS)
    assert read_table_file(data, "a.xlsx").tables[0].rows == (("two", "one"), (2.5, "one"))
    library = openpyxl.load_workbook(io.BytesIO(data)).active
    assert [cell.value for cell in library[1]] == ["two ", "one"]


@pytest.mark.parametrize("index", [-1, 3])
def test_text_that_no_list_holds_is_damaged(index):
    with pytest.raises(UnreadableFile) as refused:
        read_table_file(hostile.with_shared_texts(hostile.row(1, shared(0), shared(index)), *TEXTS), "a.xlsx")
    assert refused.value.code == "damaged_workbook"


def test_document_type_is_refused_even_without_entities():
    with pytest.raises(UnreadableFile) as refused:
        read_table_file(hostile.workbook(hostile.row(1, "a", "b"), prolog="<!DOCTYPE w>"), "a.xlsx")
    assert refused.value.code == "damaged_workbook"


def test_day_that_no_calendar_has_stays_visible():
    book = openpyxl.Workbook()
    book.active.append(["a", "b"])
    book.active.append([1e9, 2.0])
    book.active["A2"].number_format = "yyyy-mm-dd"
    assert read_table_file(table_writer.saved(book), "a.xlsx").tables[0].rows[1] == (1e9, 2.0)


def test_sheets_beyond_the_limit_are_refused(monkeypatch):
    monkeypatch.setattr("sessions.formats.limits.SHEETS", 2)
    book = openpyxl.Workbook()
    for _ in range(2):
        book.create_sheet()
    with pytest.raises(UnreadableFile, match="The workbook has 3 sheets and at most 2 are read"):
        read_table_file(table_writer.saved(book), "a.xlsx")
