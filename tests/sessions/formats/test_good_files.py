import datetime as dt
from itertools import product
from pathlib import Path

import openpyxl
import pytest

from sessions.formats import Layout, TableFile, read_layouts, read_table_file, understand_layout
from tests.sessions.formats import table_writer

BY_HAND = Path(__file__).parent / "by_hand"
ENCODINGS = {
    "utf-8": "utf-8",
    "utf-8-sig": "utf-8",
    "utf-16": "utf-16",
    "utf-16-le": "utf-16-le",
    "utf-16-be": "utf-16-be",
    "cp1252": "cp1252",
}
LOCALES = ((",", "."), (";", ","), (";", "."), ("\t", "."), ("\t", ","), ("|", "."), (",", ","))


def only_layout(data: bytes, name: str = "table.csv") -> Layout:
    (layout,) = read_layouts(data, name).layouts
    return layout


def assert_reads_as(
    layout: Layout, table: table_writer.Expected, units: tuple[str, ...], above: tuple[tuple[str, str], ...] = ()
) -> None:
    """`above`: the names and values that stand above the table and hold for all of it."""
    rows = len(table.rows)
    assert layout.shape == table.shape
    assert layout.headers == (*table.names, *(name for name, _ in above))
    assert tuple(column.unit_text for column in layout.columns) == (*units, *[""] * len(above))
    columns = [column.values for column in layout.columns]
    assert tuple(zip(*columns[: len(table.names)], strict=True)) == table.rows
    assert columns[len(table.names) :] == [(value,) * rows for _, value in above]


@pytest.mark.parametrize("make", [table_writer.wide, table_writer.long])
@pytest.mark.parametrize(("encoding", "locale"), list(product(ENCODINGS, LOCALES)))
def test_text_reads_cell_by_cell(make, encoding, locale):
    delimiter, mark = locale
    table = make()
    data = table_writer.as_text(table, delimiter=delimiter, decimal_mark=mark).encode(encoding)

    read = read_table_file(data, "table.csv")

    assert (read.encoding, read.delimiter, read.decimal_mark) == (ENCODINGS[encoding], delimiter, mark)
    assert_reads_as(understand_layout(read.tables[0]), table, table.units)


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("units", ["row", "header", "none"])
def test_units_are_found_where_they_stand(units, newline):
    table = table_writer.wide()
    layout = only_layout(table_writer.as_text(table, units=units, newline=newline).encode())
    assert_reads_as(layout, table, table.units if units != "none" else ("",) * 7)
    assert layout.unit_row == (2 if units == "row" else None)


def test_lines_above_the_table_hold_for_all_of_it_and_a_title_does_not():
    table = table_writer.wide()
    preamble = ("Report of the day", "", "Operator,J. Reyes", "Room,Hall 2")
    layout = only_layout(table_writer.as_text(table, preamble=preamble).encode())
    assert (layout.header_row, layout.unit_row, layout.row_numbers[0]) == (5, 6, 7)
    assert_reads_as(layout, table, table.units, above=(("Operator", "J. Reyes"), ("Room", "Hall 2")))


@pytest.mark.parametrize("make", [table_writer.wide, table_writer.long])
def test_workbook_reads_cell_by_cell(make):
    table = make()
    read = read_layouts(table_writer.as_workbook(table), "table.xlsx")
    assert read.file.kind == "xlsx"
    assert read.file.sheets == ("Throws",)
    assert_reads_as(read.layouts[0], table, table.units)
    assert read.problems == ()


def test_each_sheet_is_a_layout_of_its_own():
    book = openpyxl.Workbook()
    table_writer.fill(book.active, table_writer.wide())
    table_writer.fill(book.create_sheet("Second day"), table_writer.long())
    book.create_sheet("Nothing here")
    hidden = book.create_sheet("Old")
    table_writer.fill(hidden, table_writer.wide())
    hidden.sheet_state = "hidden"

    read = read_layouts(table_writer.saved(book), "table.xlsx")

    assert [(layout.sheet, layout.shape) for layout in read.layouts] == [("Sheet", "wide"), ("Second day", "long")]
    assert [(p.code, p.sheet) for p in read.problems] == [("empty_sheet", "Nothing here"), ("hidden_sheet", "Old")]


def test_workbook_dates_become_dates_and_keep_their_time_of_day():
    book = openpyxl.Workbook()
    book.active.append(["Athlete", "Date", "Captured at", "Elbow flexion"])
    book.active.append(["Sam Hill", dt.date(2026, 3, 14), dt.datetime(2026, 3, 14, 15, 30), 88.0])
    layout = read_layouts(table_writer.saved(book), "table.xlsx").layouts[0]
    assert layout.columns[1].values == (dt.date(2026, 3, 14),)
    assert layout.columns[2].values == (dt.datetime(2026, 3, 14, 15, 30),)
    assert Layout.from_json(layout.to_json()) == layout


def test_hand_typed_bullpen_day():
    layout = only_layout((BY_HAND / "bullpen_day.csv").read_bytes())
    assert layout.shape == "wide"
    assert layout.header_row == 4
    assert layout.row_numbers == (5, 6, 7, 8)
    assert [(c.header, c.unit_text, c.values) for c in layout.columns] == [
        ("Athlete", "", ("Okafor, Ben", "Okafor, Ben", "Okafor, Ben", "Lindqvist, Åsa")),
        ("Date", "", ("14.03.2026",) * 4),
        ("Throw", "", (1.0, 2.0, 3.0, 1.0)),
        ("Pitch", "", ("fastball", "fastball", "curveball", "fastball")),
        ("Ball speed", "km/h", (128.4, 129.9, 110.0, 101.5)),
        ("Elbow flexion FP", "°", (91.2, 88.75, None, 97.0)),
        ("Stride", "% height", (81.0, 82.5, 79.5, 1080.25)),
        ("Note", "", (None, "slipped; repeat", None, None)),
        ("Operator", "", ("J. Reyes",) * 4),
    ]
    assert layout.columns[5].missing == ((7, "-"),)
    assert [(p.code, p.row, p.column) for p in layout.problems] == [
        ("summary_row", 10, None),
        ("summary_row", 11, None),
        ("missing_words", None, "F"),
    ]
    assert layout.readable


def test_hand_typed_long_form():
    layout = only_layout((BY_HAND / "long_form.csv").read_bytes())
    assert layout.shape == "long"
    assert [c.values for c in layout.columns] == [
        ("A-007", "A-007", "A-007", "0012", "0012"),
        ("2026-03-14",) * 3 + ("2026-03-15",) * 2,
        (1.0, 1.0, 2.0, 1.0, 1.0),
        ("elbow_flexion_fp", "stride_length", "elbow_flexion_fp", "Shoulder rotation, greatest", "pelvis_velocity_max"),
        (88.1, 1.41, None, 171.0, None),
        ("deg", "m", "deg", "deg", "deg/s"),
    ]
    assert {(p.code, p.row, p.column) for p in layout.problems} == {
        ("number_out_of_reach", 6, "E"),
        ("missing_words", None, "E"),
    }


def test_hand_typed_tabs():
    layout = only_layout((BY_HAND / "tabs.txt").read_bytes(), "tabs.txt")
    assert layout.unit_row == 2
    assert [(c.header, c.unit_text, c.values) for c in layout.columns] == [
        ("id", "", (17.0, 17.0, 18.0)),
        ("throw", "", (1.0, 2.0, 1.0)),
        ("trunk_tilt", "deg", (31.5, -0.5, -4.25)),
        ("hip_speed", "m/s", (2.61, None, 2.8)),
    ]


@pytest.mark.parametrize("name", ["bullpen_day.csv", "long_form.csv", "tabs.txt"])
def test_what_was_read_survives_json(name):
    data = (BY_HAND / name).read_bytes()
    file = read_table_file(data, name)
    assert TableFile.from_json(file.to_json()) == file
    read = read_layouts(data, name)
    assert type(read).from_json(read.to_json()) == read
