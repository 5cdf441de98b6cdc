"""What can be wrong with a file, each with a code and the sentence that a person reads.

The sentences stand in one table. A template is written to follow "Row 12, column D: ", says what was found,
and then what to do. Facts that come from the file itself are quoted and shortened before they are put in.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import asdict, dataclass, field
from typing import Any, Final

from sessions.formats import limits
from sessions.formats.cells import column_letter
from sessions.formats.recording_sentences import RECORDING_SENTENCES

_CELL_NAME = re.compile(r"([A-Z]+)(\d+)")

QUOTED_CHARACTERS: Final = 40
"""A quoted cell is cut here, so that a hostile cell cannot fill a page."""

# code → (severity, sentence). Severity of an UnreadableFile is always "error" and is not looked at.
SENTENCES: Final[dict[str, tuple[str, str]]] = {
    # The file as a whole cannot be read.
    "empty": ("error", "the file is empty. Export it again and upload the new one."),
    "too_big": ("error", "the file has {megabytes} MB and tables may have {most} MB. Export fewer sessions at a time."),
    "wrong_kind": ("error", "this is {kind}, not a table. Upload the table as CSV or XLSX."),
    "password": (
        "error",
        "this workbook is protected by a password. Remove the password in the spreadsheet program, save it, "
        "and upload it again.",
    ),
    "old_workbook": (
        "error",
        "this is a workbook of the old XLS kind. Save it as XLSX or CSV and upload that.",
    ),
    "other_workbook": ("error", "this is {kind}. Save it as XLSX or CSV and upload that."),
    "archive": ("error", "this is a ZIP archive, not a table. Unpack it and upload the tables that are in it."),
    "damaged_workbook": (
        "error",
        "the workbook is damaged or cut short. Open it in a spreadsheet program, save it again as XLSX, "
        "and upload that.",
    ),
    "workbook_too_large": (
        "error",
        "unpacked, the workbook would be far larger than a table of throws can be. Save only the sheet with the "
        "numbers as CSV and upload that.",
    ),
    "unsafe_workbook": (
        "error",
        "the workbook holds parts that no spreadsheet program writes ({what}), so it was not opened. Save the "
        "sheet as CSV and upload that.",
    ),
    "too_many_sheets": ("error", "the workbook has {found} sheets and at most {most} are read. Split it."),
    "binary": (
        "error",
        "this is no text: it holds bytes that no table has. Export the table as CSV or XLSX and upload that.",
    ),
    "wrong_encoding": (
        "error",
        "the text cannot be read as {encoding}. Choose another character set, or export the file as UTF-8.",
    ),
    "cut_text": (
        "error",
        "the file ends in the middle of a character, so it was cut short on its way. Export it again and upload "
        "the new one.",
    ),
    "only_hidden_sheets": (
        "error",
        "no sheet of the workbook that can be seen holds anything; there are hidden ones ({sheets}). Show the sheet "
        "with the throws, save the workbook, and upload it again.",
    ),
    "not_a_table": (
        "error",
        "no columns were found: no comma, semicolon, tab or bar divides the lines in the same way. "
        "Export the table as CSV or XLSX.",
    ),
    "too_many_rows": (
        "error",
        "the table has more than {most} rows. Export fewer sessions at a time, and delete empty rows at the end.",
    ),
    "too_many_columns": (
        "error",
        "this row has {found} columns and at most {most} are read. Check that the table was exported with one "
        "throw a row.",
    ),
    "too_many_cells": (
        "error",
        "with the empty ones there are more than {most} cells. Export fewer sessions at a time, and delete empty "
        "rows and columns.",
    ),
    "cell_too_long": (
        "error",
        "a cell holds more than {most} characters. A quotation mark that opens and never closes does this: "
        "close it, or export the table again.",
    ),
    "too_much_time": (
        "error",
        "this file was too much for the reader: it took longer than {seconds} seconds and was stopped. Export "
        "fewer sessions at a time, or save the sheet as CSV.",
    ),
    "too_much_memory": (
        "error",
        "this file was too much for the reader: it needed more memory than a table may. Export fewer sessions "
        "at a time, or save the sheet as CSV.",
    ),
    "reader_died": (
        "error",
        "this file was too much for the reader, which was stopped while it read it. Save the sheet as CSV and "
        "upload that.",
    ),
    "reader_failed": (
        "error",
        "the reader could not make sense of this file. Export the table again as CSV and upload that; if it "
        "happens again, tell your administrator.",
    ),
    # The file is read; something in it needs a look.
    "other_extension": ("note", "the name says {named}, the content is {found}; it was read as {found}."),
    "guessed_encoding": (
        "note",
        "the text is not UTF-8 and was read as Windows-1252. If names look wrong, choose another character set.",
    ),
    "control_characters": ("warning", "characters that cannot be printed were left out of the text."),
    "guessed_decimal_mark": (
        "warning",
        "numbers such as {example} can be read in two ways; {mark} was taken as the decimal mark. If that is "
        "wrong, choose the other one.",
    ),
    "mixed_decimal_marks": (
        "warning",
        "some numbers have a decimal point and some a decimal comma ({example}); {mark} was taken as the decimal "
        "mark. Check the numbers, or export with one of them.",
    ),
    "unclosed_quote": (
        "error",
        "a quotation mark opens in this row and never closes, so that everything after it became one cell. "
        "Close it, or export the table again.",
    ),
    "macros": ("note", "the workbook holds macros. They are never run; only the values were read."),
    "hidden_sheet": ("note", "this sheet is hidden and was left out. Show it in the workbook if it holds throws."),
    "empty_sheet": ("note", "this sheet is empty and was left out."),
    "formula_without_value": (
        "error",
        "this cell holds a formula and the file has no result for it. Open the workbook in a spreadsheet program, "
        "save it, and upload it again.",
    ),
    "number_as_text": ("note", "numbers are stored as text, {times}; they were read as numbers."),
    "no_header": (
        "error",
        "no row with the names of the columns was found. Put one above the first throw.",
    ),
    "no_rows": ("error", "there are column names and no rows below them. Export the table with its throws."),
    "two_header_rows": ("note", "the names stand in two rows, and were joined, as {example}."),
    "throws_in_columns": ("note", "each throw stands in a column here; the table was turned to read it."),
    "summary_column": ("note", "the column {text} sums up others and was left out."),
    "column_beside_throws": ("warning", "{text} is no throw as its neighbours are; its column was left out."),
    "line_without_values": ("note", "no throw has a value here; the line was left out: {text}."),
    "stand_in": (
        "note",
        "{number} stands for a missing value here, {times}; it was taken as not measured.",
    ),
    "blank_header": ("warning", "there are values and no name for them. Name them if they are needed."),
    "duplicate_header": (
        "warning",
        "the same name stands in {other}: {header}. Rename one of them if both are needed.",
    ),
    "row_too_long": (
        "error",
        "the row has {found} cells and there are {expected} columns, so it was left out. A comma inside a value "
        "does this: put the value in quotation marks.",
    ),
    "other_delimiter": (
        "error",
        "the row is divided by another character than the rest of the file, and was left out: {text}. Use one "
        "for the whole file.",
    ),
    "row_too_short": (
        "warning",
        "the row has {found} cells and there are {expected} columns; what is missing was taken as not measured.",
    ),
    "infinite_number": ("error", "{text} is no number that can be measured; it was left out. Correct or clear it."),
    "number_out_of_reach": (
        "error",
        "{text} is too large to be a measurement; it was left out. Correct or clear it.",
    ),
    "missing_words": ("note", "{words}, {times}: taken as not measured."),
    "summary_row": ("note", "the row that says {text} sums up other rows and was left out."),
    "repeated_header": ("note", "the row repeats the column names and was left out."),
    "comment_row": ("note", "the row holds only {text} and was left out."),
    "more_like_it": ("{severity}", "and {count} more of the same kind in this sheet: {first}"),
    **RECORDING_SENTENCES,
}


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that a person should know about a file, at its place.

    `severity` is "error" (something was not read), "warning" (read, but look) or "note" (read as meant).
    `row` counts from 1 as a spreadsheet shows it; `column` is the spreadsheet's letter.
    """

    code: str
    sentence: str
    severity: str = "error"
    sheet: str = ""
    row: int | None = None
    column: str | None = None

    def to_json(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def from_json(cls, stored: dict[str, Any]) -> Problem:
        return cls(**stored)


class UnreadableFile(Exception):
    """Nothing of the file can be used. `code` is a key of SENTENCES; `sentence` is fit for a page."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(code, sentence)
        self.code = code
        self.sentence = sentence

    def __str__(self) -> str:
        return self.sentence


class ReaderDied(UnreadableFile):
    """The reading process was killed, ran out of memory or of time while it had this file."""


def quote(text: object) -> str:
    """A piece of the file as a sentence may show it: in quotation marks, one line, cut at 40 characters."""
    line = "".join(c if c.isprintable() else " " for c in str(text)[: QUOTED_CHARACTERS * 4])
    line = " ".join(line.split())
    return f"“{line[:QUOTED_CHARACTERS]}{'…' if len(line) > QUOTED_CHARACTERS else ''}”"


def _placed(sentence: str, sheet: str, row: int | None, column: str | None) -> str:
    places = (
        f"sheet {quote(sheet)}" if sheet else "",
        f"row {row}" if row is not None else "",
        f"column {column}" if column else "",
    )
    place = ", ".join(part for part in places if part)
    whole = f"{place}: {sentence}" if place else sentence
    return whole[:1].upper() + whole[1:]


def times(count: int) -> str:
    """ "once", "3 times"."""
    return "once" if count == 1 else f"{count:,} times"


def place_in_file(row: int | None, column: str | None, *, turned: bool) -> tuple[int | None, str | None]:
    """Where a layout's row and column stand in the file: turned tables swap them, and "B2" names its own cell."""
    cell = _CELL_NAME.fullmatch(column) if column else None
    if cell:
        return int(cell[2]), cell[1]
    if turned:
        return int(column) if column else None, column_letter(row - 1) if row else None
    return row, column


def problem(
    code: str, *, sheet: str = "", row: int | None = None, column: str | None = None, **facts: object
) -> Problem:
    """The problem of that code at that place; `facts` fill its sentence. KeyError when the code is unknown."""
    severity, template = SENTENCES[code]
    return Problem(code, _placed(template.format(**facts), sheet, row, column), severity, sheet, row, column)


def unreadable(
    code: str, *, sheet: str = "", row: int | None = None, column: str | None = None, **facts: object
) -> UnreadableFile:
    """The exception of that code, to be raised. KeyError when the code is unknown."""
    return UnreadableFile(code, problem(code, sheet=sheet, row=row, column=column, **facts).sentence)


@dataclass
class ProblemList:
    """Collects the problems of one sheet; of each kind the first 20 one by one, the rest as a count.

    Rows and columns are the layout's; of a `turned` table they are said as they stand in the file.
    """

    sheet: str = ""
    turned: bool = False
    found: list[Problem] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)

    def add(self, code: str, *, row: int | None = None, column: str | None = None, **facts: object) -> None:
        self.counts[code] += 1
        if self.counts[code] <= limits.REPEATS_SHOWN:
            row, column = place_in_file(row, column, turned=self.turned)
            self.found.append(problem(code, sheet=self.sheet, row=row, column=column, **facts))

    def result(self) -> tuple[Problem, ...]:
        return tuple(self.found) + tuple(
            self._rest(code, count - limits.REPEATS_SHOWN)
            for code, count in self.counts.items()
            if count > limits.REPEATS_SHOWN
        )

    def _rest(self, code: str, count: int) -> Problem:
        first = next(p for p in self.found if p.code == code)
        sentence = SENTENCES["more_like_it"][1].format(count=count, first=first.sentence)
        return Problem("more_like_it", _placed(sentence, "", None, None), first.severity, self.sheet)
