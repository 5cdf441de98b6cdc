"""Grids as workbooks: real dates, merged cells, text in place of numbers, formulas with the value that was kept."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from io import BytesIO

from openpyxl import Workbook

from tests.corpus.tables import Grid, Value
from tests.corpus.texts import Typing


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula without its equals sign, and the value that the program kept when it saved the file."""

    text: str
    kept: float | str


Cell = Value | Formula


def workbook(
    sheets: Mapping[str, Sequence[Sequence[Cell]]], merged: Mapping[str, Sequence[str]] | None = None
) -> bytes:
    """An XLSX file of these sheets, in order; ``merged`` names ranges such as ``D1:H1`` by sheet."""
    book = Workbook()
    book.remove(book.active)
    kept: dict[str, dict[str, float | str]] = {}
    for title, grid in sheets.items():
        sheet = book.create_sheet(title)
        here = kept.setdefault(f"xl/worksheets/sheet{len(kept) + 1}.xml", {})
        for row_number, row in enumerate(grid, 1):
            for column_number, value in enumerate(row, 1):
                cell = sheet.cell(row_number, column_number)
                if isinstance(value, Formula):
                    cell.value = f"={value.text}"
                    here[cell.coordinate] = value.kept
                elif value is not None:
                    cell.value = float(value) if isinstance(value, Decimal) else value
        for span in (merged or {}).get(title, ()):
            sheet.merge_cells(span)
    stream = BytesIO()
    book.save(stream)
    return _with_kept_values(stream.getvalue(), kept)


def as_text(grid: Grid, typing: Typing) -> Grid:
    """The same grid with every number and date typed in as text."""
    return [[None if value is None else typing.text(value) for value in row] for row in grid]


def _with_kept_values(data: bytes, kept: Mapping[str, Mapping[str, float | str]]) -> bytes:
    """The file with the kept value beside each formula: the writing library leaves that place empty."""
    stream = BytesIO()
    with zipfile.ZipFile(BytesIO(data)) as old, zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            xml = old.read(name)
            if kept.get(name):
                xml = _filled(xml.decode(), kept[name]).encode()
            new.writestr(name, xml)
    return stream.getvalue()


def _filled(xml: str, kept: Mapping[str, float | str]) -> str:
    def fill(match: re.Match[str]) -> str:
        place, more, formula = match.groups()
        value = kept[place]
        kind, shown = (' t="e"', value) if isinstance(value, str) else ("", repr(value))
        return f'<c r="{place}"{more}{kind}><f>{formula}</f><v>{shown}</v>'

    xml, found = re.subn(r'<c r="([A-Z]+[0-9]+)"([^>]*)><f>(.*?)</f><v\s*(?:/>|></v>)', fill, xml)
    if found != len(kept):
        raise ValueError(f"{len(kept)} formulas were written, {found} found")
    return xml
