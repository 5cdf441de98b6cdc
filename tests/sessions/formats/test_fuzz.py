"""Whatever bytes come: a result, or UnreadableFile. Nothing else, and the result is sound."""

import json

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sessions.formats import ReadResult, UnreadableFile, read_layouts
from tests.sessions.formats import hostile, table_writer

CELLS = st.one_of(
    st.sampled_from(
        [
            "",
            "Sam",
            "12,5",
            "12.5",
            "1.234,5",
            "NA",
            "-",
            "inf",
            "1e308",
            "deg",
            "Mean",
            "SD",
            "Max",
            "metric",
            "value",
            "007",
        ]
    ),
    st.text(max_size=6),
    st.floats().map(str),
)
WORKBOOK = hostile.good_workbook()
TEXT = table_writer.as_text(table_writer.long(), delimiter=";", decimal_mark=",").encode("utf-16")
FEW = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow], database=None)


def assert_sound(data: bytes, filename: str) -> None:
    try:
        read = read_layouts(data, filename)
    except UnreadableFile:
        return
    stored = json.loads(json.dumps(read.to_json(), allow_nan=False))
    assert ReadResult.from_json(stored) == read
    for layout in read.layouts:
        assert all(len(column.values) == len(layout.row_numbers) for column in layout.columns)
        assert list(layout.row_numbers) == sorted(set(layout.row_numbers))


@FEW
@given(st.binary(max_size=400))
def test_any_bytes(data):
    assert_sound(data, "a.csv")


@FEW
@given(
    st.lists(st.lists(CELLS, max_size=6), max_size=12), st.sampled_from(",;\t|"), st.sampled_from(["utf-8", "utf-16"])
)
def test_any_table_of_odd_cells(rows, delimiter, encoding):
    text = "\n".join(delimiter.join(row) for row in rows)
    assert_sound(text.encode(encoding, "replace"), "a.csv")


@FEW
@given(st.integers(0, len(TEXT) - 1), st.binary(min_size=1, max_size=8))
def test_damaged_text(position, replacement):
    assert_sound(TEXT[:position] + replacement + TEXT[position + len(replacement) :], "a.csv")


@FEW
@given(st.integers(0, len(WORKBOOK) - 1), st.binary(min_size=1, max_size=8), st.booleans())
def test_damaged_workbook(position, replacement, cut):
    rest = b"" if cut else WORKBOOK[position + len(replacement) :]
    assert_sound(WORKBOOK[:position] + replacement + rest, "a.xlsx")


@FEW
@given(
    st.lists(
        st.sampled_from(
            [
                "<c><v>1</v></c>",
                "<c><v>NaN</v></c>",
                "<c><v>1e999</v></c>",
                "<c><v>x</v></c>",
                '<c t="s"><v>9</v></c>',
                '<c t="b"><v>2</v></c>',
                '<c t="d"><v>2026-13-77</v></c>',
                '<c r="A0"><v>1</v></c>',
                '<c r="ZZZZ1"><v>1</v></c>',
                '<c s="99"><v>1</v></c>',
                "<c><f>1/0</f></c>",
                "<row/>",
                "<c/>",
            ]
        ),
        max_size=6,
    )
)
def test_any_sheet_of_odd_xml(cells):
    assert_sound(hostile.workbook(hostile.row(1, "a", "b", "c") + hostile.row(2, *cells)), "a.xlsx")
