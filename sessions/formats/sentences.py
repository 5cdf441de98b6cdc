"""The sentences of what can be wrong with a table's file, one a code.

Each is written to follow "Row 12, column D: ", says what was found, and then what to do.
"""

from __future__ import annotations

from typing import Final

from sessions.formats.recording_sentences import RECORDING_SENTENCES

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
