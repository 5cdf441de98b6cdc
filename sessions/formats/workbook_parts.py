"""What stands around the sheets of a workbook: their names and files, shared texts, and which styles are dates."""

from __future__ import annotations

import datetime as dt
import io
from dataclasses import dataclass
from typing import Any, Final

from sessions.formats import limits
from sessions.formats.archives import WorkbookArchive
from sessions.formats.date_styles import DateStyles
from sessions.formats.problems import unreadable
from sessions.formats.sheet_xml import Allowance, Context, RawValue, SharedTexts

_STYLES: Final = "xl/styles.xml"


@dataclass(frozen=True, slots=True)
class SheetPart:
    title: str
    path: str
    visible: bool


def open_parts(data: bytes, archive: WorkbookArchive) -> tuple[list[SheetPart], Context]:
    """The sheets of cells in their order, and what their cells refer to.

    The library's own loader is not called as a whole: it parses each sheet once for its size, and parts that no
    number depends on. Raises UnreadableFile (too_many_sheets), and whatever the library raises for damaged parts.
    """
    from openpyxl.reader.excel import ExcelReader
    from openpyxl.xml.constants import SHARED_STRINGS

    reader = ExcelReader(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    reader.archive = archive  # it reads no part as a whole that is too long for that
    reader.read_manifest()
    reader.read_workbook()
    names = set(archive.namelist())
    sheets = [
        SheetPart(sheet.name or "", relation.target, sheet.state == "visible")
        for sheet, relation in reader.parser.find_sheets()
        if relation.target in names and relation.Type.endswith("/worksheet")
    ]
    if len(sheets) > limits.SHEETS:
        raise unreadable("too_many_sheets", found=len(sheets), most=limits.SHEETS)
    return sheets, _context(reader, archive, reader.package.find(SHARED_STRINGS))


def _context(reader: Any, archive: WorkbookArchive, shared: Any) -> Context:
    from openpyxl.utils.datetime import from_excel

    allowance, epoch = Allowance(), reader.wb.epoch
    dates, durations = _date_styles(archive, allowance)

    def as_date(number: float, style: int) -> RawValue:
        try:
            value: dt.datetime | dt.time | dt.timedelta = from_excel(number, epoch, timedelta=style in durations)
        except (OverflowError, ValueError):
            return number  # shown as it is: no day has that number
        return value

    texts: list[str] = []
    if shared is not None:
        with archive.open(shared.PartName.lstrip("/")) as source:
            texts = SharedTexts(source, allowance).texts
    return Context(texts, dates, as_date, allowance)


def _date_styles(archive: WorkbookArchive, allowance: Allowance) -> tuple[set[int], set[int]]:
    """The styles that are dates, and those that are durations. A workbook without styles has none."""
    if _STYLES not in archive.namelist():
        return set(), set()
    with archive.open(_STYLES) as source:
        styles = DateStyles(source, allowance)
    return styles.dates, styles.durations
