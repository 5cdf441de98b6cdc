"""Rows of one width are kept by columns; whoever asks for rows sees no difference."""

from __future__ import annotations

import pytest

from sessions.formats import read_layouts
from sessions.formats.grid import EvenRows, columns_of
from sessions.formats.tables import read_table_file

ROWS = (("a", 1.0, None), ("b", 2.0, "x"), (None, 3.0, "y"))
EVEN = b"Throw,Elbow flexion,Note\n" + b"".join(b"%d,%d.5,fine\n" % (i, 80 + i) for i in range(1, 500))


def test_even_rows_give_back_the_rows_that_they_were_made_of() -> None:
    even = EvenRows(zip(*ROWS, strict=True))
    assert tuple(even) == ROWS
    assert len(even) == 3
    assert [even[index] for index in (0, 1, -1)] == [ROWS[0], ROWS[1], ROWS[-1]]
    assert even[1:] == ROWS[1:]
    assert even != ROWS[1:]
    assert ROWS[1] in even


def test_columns_of_rows_are_the_same_either_way() -> None:
    columns = tuple(zip(*ROWS, strict=True))
    assert tuple(columns_of(EvenRows(columns))) == tuple(columns_of(ROWS)) == columns


def test_a_text_of_even_rows_is_read_by_columns() -> None:
    (table,) = read_table_file(EVEN, "a.csv").tables
    assert isinstance(table.rows, EvenRows)


@pytest.mark.parametrize("odd", [b"\n", b",,\n", b"500,80.5,fine,\n"], ids=["empty", "blank", "longer"])
@pytest.mark.parametrize("line", [1, 250, 499])
def test_an_odd_row_among_them_changes_nothing_in_the_others(odd: bytes, line: int) -> None:
    lines = EVEN.splitlines(keepends=True)
    (expected,) = read_layouts(EVEN, "a.csv").layouts
    data = b"".join([*lines[: line + 1], odd, *lines[line + 1 :]])
    (found,) = read_layouts(data, "a.csv").layouts
    kept = [index for index, number in enumerate(found.row_numbers) if number != line + 2]
    for column, other in zip(expected.columns, found.columns, strict=True):
        assert column.values == tuple(other.values[index] for index in kept)
