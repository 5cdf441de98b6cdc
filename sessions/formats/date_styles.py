"""Which styles of a workbook turn a number into a date or a duration, read in one pass.

Source of the element names: ECMA-376 part 1, section 18.8 (styles); a cell's style counts the <xf> of <cellXfs>.
"""

from __future__ import annotations

from typing import IO, Final

from sessions.formats.sheet_xml import Allowance, LocalNames, parse

LONGEST_FORMAT: Final = 255
"""Characters of a number format that spreadsheet programs take (ECMA-376 leaves it open; from memory)."""


class DateStyles:
    """`dates` and `durations` are the numbers of the styles that show one; a duration is among the dates too.

    Raises expat.ExpatError, ForbiddenMarkup and ValueError for damaged XML, UnreadableFile beyond the allowance.
    """

    def __init__(self, source: IO[bytes], allowance: Allowance) -> None:
        self.dates: set[int] = set()
        self.durations: set[int] = set()
        self._names = LocalNames()
        self._allowance = allowance
        self._formats: dict[int, str] = {}
        self._kinds: dict[int, tuple[bool, bool]] = {}
        self._styles = 0
        self._inside = False
        parse(source, self._start, self._end, lambda text: None)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._allowance.take_other()
        match self._names[name]:
            case "numFmt" if not self._inside:
                self._formats[int(attributes["numFmtId"])] = attributes.get("formatCode", "")[:LONGEST_FORMAT]
            case "cellXfs":
                self._inside = True
            case "xf" if self._inside:
                self._add_style(int(attributes.get("numFmtId", 0)))

    def _end(self, name: str) -> None:
        if self._names[name] == "cellXfs":
            self._inside = False

    def _add_style(self, number_format: int) -> None:
        date, duration = self._kind(number_format)
        if date:
            self.dates.add(self._styles)
        if duration:
            self.durations.add(self._styles)
        self._styles += 1

    def _kind(self, number_format: int) -> tuple[bool, bool]:
        """Whether the format shows dates, and whether durations; many styles share few formats."""
        from openpyxl.styles.numbers import builtin_format_code, is_date_format, is_timedelta_format

        if number_format not in self._kinds:
            code = self._formats.get(number_format) or builtin_format_code(number_format)
            self._kinds[number_format] = (is_date_format(code), is_timedelta_format(code))
        return self._kinds[number_format]
