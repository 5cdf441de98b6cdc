"""Table → Layout: which row names the columns, what their units are, one row a throw or one row a value."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile

from sessions.formats.cells import (
    Cell,
    cell_text,
    column_letter,
    is_missing_word,
    unusable_number,
)
from sessions.formats.grid import NumberedRows, Row, Table, columns_of
from sessions.formats.headers import (
    GROUP_MARK,
    Heading,
    find_heading,
    group_of_columns,
    long_columns,
    normal_name,
    trimmed_length,
)
from sessions.formats.layout import Column, Layout
from sessions.formats.leftovers import body_rows
from sessions.formats.lines_above import lines_above
from sessions.formats.problems import ProblemList, quote, times
from sessions.formats.stand_ins import with_unit_of_cells, without_stand_ins
from sessions.formats.turning import Turned, find_turned, turn
from sessions.formats.unit_words import LONGEST_NAME, is_placeholder, is_unit, split_unit, without_brackets


@dataclass(frozen=True, slots=True)
class _Standing:
    """A table as it stands in its sheet, upright or already turned: one title, unit and place a column."""

    titles: Sequence[str]
    units: Sequence[str]
    letters: Sequence[str]
    rows: NumberedRows
    names: Row = ()
    turned: bool = False


def understand_layout(table: Table, *, decimal_mark: str = ".") -> Layout:
    """The layout of one sheet. Never raises for what a file holds: what is odd stands in `problems`."""
    turned = find_turned(table)
    problems = ProblemList(table.sheet, turned=turned is not None)
    if turned:
        heading = Heading(turned.header, None)
        standing = _turned(table, turned, problems)
    else:
        heading = find_heading(table)
        standing = _upright(table, heading, problems)
    titles = [title[:LONGEST_NAME] for title in standing.titles]  # longer ones would only cost time and room
    split = [split_unit(title) for title in titles]
    headers = [name for name, _ in split]
    long = {} if turned else long_columns(headers)
    body = _body(standing, [index for part, index in long.items() if part != "unit"], problems)
    numbers = tuple(body.numbers)
    units = [_unit(below, unit) for below, (_, unit) in zip(standing.units, split, strict=True)]
    columns = _columns(standing, titles, headers, units, body.rows, numbers, problems, decimal_mark)
    columns = without_stand_ins(columns, numbers, _column_at(long.get("metric"), columns), problems)
    _check_heading(table, heading, columns, numbers, problems, turned=standing.turned)
    columns += _of_all_rows(table, heading, len(standing.titles), len(numbers))
    shape = "long" if long else "wide"
    return Layout(
        table.sheet,
        shape,
        0 if heading.names is None else table.first_row + heading.names,
        None if heading.units is None else table.first_row + heading.units,
        columns,
        numbers,
        problems.result(),
        fingerprint(shape, [(column.header, column.unit_text) for column in columns]),
        standing.turned,
    )


def _upright(table: Table, heading: Heading, problems: ProblemList) -> _Standing:
    names: Row = () if heading.names is None else table.rows[heading.names]
    below = table.numbered_from(heading.last + 1)
    width = _table_width(table, heading, names, below)
    titles = [cell_text(cell) for cell in (*names, *(None,) * width)[:width]]
    if heading.groups is not None:
        titles = _with_groups(titles, table.rows[heading.groups])
        example = next((title for title in titles if GROUP_MARK in title), "")
        problems.add("two_header_rows", row=table.first_row + heading.groups, example=quote(example))
    units: Row = () if heading.units is None else table.rows[heading.units]
    texts = [cell_text(cell) for cell in (*units, *(None,) * width)[:width]]
    return _Standing(titles, texts, [column_letter(index) for index in range(width)], below, names)


def _with_groups(titles: Sequence[str], groups: Row) -> list[str]:
    """Names in full: "FC" above "Elbow flexion" is "FC · Elbow flexion"."""
    own = [cell_text(cell).strip() for cell in (*groups, *(None,) * len(titles))[: len(titles)]]
    spread = group_of_columns(groups, len(titles))
    return [
        GROUP_MARK.join(dict.fromkeys(filter(None, (group, title)))) if title else above
        for title, above, group in zip(titles, own, spread, strict=True)
    ]


def _turned(table: Table, found: Turned, problems: ProblemList) -> _Standing:
    problems.add("throws_in_columns", column=str(table.first_row + found.header))
    rows = turn(table, found, problems)
    return _Standing(rows.titles, rows.units, rows.places, NumberedRows.of(rows.rows), turned=True)


def _body(standing: _Standing, skipped: Sequence[int], problems: ProblemList) -> NumberedRows:
    """The rows that hold throws; those of a turned table have been looked at."""
    if standing.turned:
        return standing.rows
    return body_rows(standing.rows, standing.names, len(standing.titles), skipped, problems)


def _columns(
    standing: _Standing,
    titles: Sequence[str],
    headers: Sequence[str],
    units: Sequence[str],
    body: Sequence[Row],
    numbers: tuple[int, ...],
    problems: ProblemList,
    decimal_mark: str,
) -> tuple[Column, ...]:
    """The columns that have a name or a value."""
    cells = columns_of(body) if body else [()] * len(headers)
    made = (
        _column(
            index,
            titles[index],
            headers[index],
            units[index],
            standing.letters[index],
            tuple(values),
            numbers,
            problems,
        )
        for index, values in enumerate(cells)
    )
    return tuple(
        with_unit_of_cells(column, texts, decimal_mark)
        for column, texts in made
        if column.title or any(value is not None for value in column.values)
    )


def _column_at(index: int | None, columns: Sequence[Column]) -> Column | None:
    return next((column for column in columns if column.index == index), None)


def _of_all_rows(table: Table, heading: Heading, width: int, rows: int) -> tuple[Column, ...]:
    """What stands above the table as columns that say the same in every row."""
    if heading.names is None or not rows:
        return ()
    first = table.first_row + heading.first
    above = takewhile(lambda numbered: numbered[0] < first, table.numbered())
    return tuple(
        Column(width + index, line.place, line.name, "", (line.value,) * rows, line.name)
        for index, line in enumerate(lines_above(above))
    )


def fingerprint(shape: str, columns: Sequence[tuple[str, str]]) -> str:
    """A hash that is the same for every export with these names and units in this order, whatever its rows."""
    named = [[normal_name(header), normal_name(unit)] for header, unit in columns]
    return hashlib.sha256(json.dumps([shape, named], ensure_ascii=True).encode()).hexdigest()


def _table_width(table: Table, heading: Heading, names: Row, below: NumberedRows) -> int:
    """The names' own width; names may be blank at the end when most rows have values there."""
    if heading.names is None:
        return max((trimmed_length(row) for _, row in table.numbered()), default=0)
    groups: Row = () if heading.groups is None else table.rows[heading.groups]
    width = max(trimmed_length(names), trimmed_length(groups))
    if width >= len(names):
        return width
    lengths = [trimmed_length(row) for row in below.rows if len(row) > width]
    longer = [length for length in lengths if width < length <= len(names)]
    return max(longer) if len(longer) > 0.5 * len(below) else width


def _unit(below: str, in_header: str) -> str:
    """The unit of a column: from the row of units where it names one, else from the header."""
    written = without_brackets(below)
    return written if written and (is_unit(written) or not is_placeholder(written)) else in_header


def _column(
    index: int,
    title: str,
    header: str,
    unit: str,
    letter: str,
    values: tuple[Cell, ...],
    numbers: tuple[int, ...],
    problems: ProblemList,
) -> tuple[Column, set[str]]:
    """A column with its missing values as None and numbers that nothing can measure as problems; its distinct texts."""
    cells = set(values)
    texts = {cell for cell in cells if isinstance(cell, str)}
    words = {text for text in texts if is_missing_word(text)}
    beyond: dict[str, str] = {}
    if any(type(cell) is float for cell in cells):
        beyond = {text: code for text in texts - words if (code := unusable_number(text))}
    if not words and not beyond:
        return Column(index, letter, header, unit, values, title), texts
    missing: list[tuple[int, str]] = []
    for number, cell in zip(numbers, values, strict=True):
        if cell in words:
            missing.append((number, str(cell)))
        elif cell in beyond:
            problems.add(beyond[str(cell)], row=number, column=letter, text=quote(cell))
    if missing:
        said = ", ".join(quote(word) for word in sorted(words)[:4])
        problems.add("missing_words", column=letter, times=times(len(missing)), words=said)
    kept = tuple([None if cell in words or cell in beyond else cell for cell in values])
    return Column(index, letter, header, unit, kept, title, tuple(missing)), texts - words - beyond.keys()


def _check_heading(
    table: Table,
    heading: Heading,
    columns: Sequence[Column],
    numbers: Sequence[int],
    problems: ProblemList,
    *,
    turned: bool,
) -> None:
    if heading.names is None:
        problems.add("no_header")
        return
    if not numbers:
        problems.add("no_rows", row=table.first_row + heading.names)
    seen: dict[tuple[str, str], str] = {}
    for column in columns:
        if not column.title:
            problems.add("blank_header", column=column.letter)
            continue
        key = (normal_name(column.header), normal_name(column.unit_text))
        if key in seen:
            other = f"{'row' if turned else 'column'} {seen[key]}"
            problems.add("duplicate_header", column=column.letter, other=other, header=quote(column.header))
        seen.setdefault(key, column.letter)
