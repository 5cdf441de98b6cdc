"""What stands around the sheets of a workbook: their names and files, shared texts, and which styles are dates."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from dataclasses import dataclass
from typing import Any

from sessions.formats import limits
from sessions.formats.problems import unreadable
from sessions.formats.sheet_xml import Context, RawValue, SharedTexts


@dataclass(frozen=True, slots=True)
class SheetPart:
    title: str
    path: str
    visible: bool


def open_parts(data: bytes, archive: zipfile.ZipFile) -> tuple[list[SheetPart], Context]:
    """The sheets of cells in their order, and what their cells refer to.

    The library's own loader is not called as a whole: it parses each sheet once for its size, and parts that no
    number depends on. Raises UnreadableFile (too_many_sheets), and whatever the library raises for damaged parts.
    """
    from openpyxl.reader.excel import ExcelReader
    from openpyxl.styles.stylesheet import apply_stylesheet
    from openpyxl.xml.constants import SHARED_STRINGS

    reader = ExcelReader(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    reader.read_manifest()
    reader.read_workbook()
    apply_stylesheet(reader.archive, reader.wb)
    names = set(archive.namelist())
    sheets = [
        SheetPart(sheet.name or "", relation.target, sheet.state == "visible")
        for sheet, relation in reader.parser.find_sheets()
        if relation.target in names and relation.Type.endswith("/worksheet")
    ]
    if len(sheets) > limits.SHEETS:
        raise unreadable("too_many_sheets", found=len(sheets), most=limits.SHEETS)
    return sheets, _context(reader, archive, reader.package.find(SHARED_STRINGS))


def _context(reader: Any, archive: zipfile.ZipFile, shared: Any) -> Context:
    from openpyxl.utils.datetime import from_excel

    dates, durations, epoch = reader.wb._date_formats, reader.wb._timedelta_formats, reader.wb.epoch

    def as_date(number: float, style: int) -> RawValue:
        try:
            value: dt.datetime | dt.time | dt.timedelta = from_excel(number, epoch, timedelta=style in durations)
        except (OverflowError, ValueError):
            return number  # shown as it is: no day has that number
        return value

    texts: list[str] = []
    if shared is not None:
        with archive.open(shared.PartName.lstrip("/")) as source:
            texts = SharedTexts(source).texts
    return Context(texts, dates, as_date)
