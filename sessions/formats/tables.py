"""A file's bytes → its tables, told apart by content and never by name."""

from __future__ import annotations

from pathlib import PurePath
from typing import Final

from sessions.formats import limits
from sessions.formats.grid import FileFacts, Row, Table, TableFile
from sessions.formats.problems import Problem, problem, unreadable
from sessions.formats.signatures import COMPOUND, EMPTY_ZIP, ZIP, compound_refusal, refuse_foreign
from sessions.formats.text_tables import read_text_table
from sessions.formats.workbooks import read_workbook

_WORKBOOK: Final = "a workbook"
_TEXT: Final = "text"
_EXTENSIONS: Final = {
    "xlsx": _WORKBOOK,
    "xlsm": _WORKBOOK,
    "xltx": _WORKBOOK,
    "xls": _WORKBOOK,
    "csv": _TEXT,
    "tsv": _TEXT,
    "tab": _TEXT,
    "txt": _TEXT,
    "": "",
}


def read_table_file(
    data: bytes,
    filename: str,
    *,
    encoding: str | None = None,
    delimiter: str | None = None,
    decimal_mark: str | None = None,
) -> TableFile:
    """The tables of a CSV or XLSX file of at most 40 MB.

    `encoding` (a key of decoding.ENCODINGS), `delimiter` and `decimal_mark` override what would be found.
    Raises UnreadableFile with a sentence for a page; ValueError for a choice that is not offered.
    """
    if not data:
        raise unreadable("empty")
    refuse_too_big(len(data))
    if data.startswith(COMPOUND):
        raise compound_refusal(data)
    if data.startswith((ZIP, EMPTY_ZIP)):
        found, read = _WORKBOOK, read_workbook(data, decimal_mark=decimal_mark)
    else:
        refuse_foreign(data)
        found, read = _TEXT, read_text_table(data, encoding=encoding, delimiter=delimiter, decimal_mark=decimal_mark)
    notes = _extension_note(filename, found)
    return TableFile(read.kind, read.encoding, read.delimiter, read.decimal_mark, read.tables, notes + read.problems)


def refuse_too_big(size_bytes: int) -> None:
    """Raises UnreadableFile (too_big); callers that have a path need not read the file to know."""
    if size_bytes > limits.FILE_BYTES:
        megabytes = f"{size_bytes / 1e6:.0f}"
        raise unreadable("too_big", megabytes=megabytes, most=f"{limits.FILE_BYTES / 1e6:.0f}")


def _extension_note(filename: str, found: str) -> tuple[Problem, ...]:
    extension = PurePath(filename).suffix.removeprefix(".").lower()
    named = _EXTENSIONS.get(extension, "another kind of file")
    return (problem("other_extension", named=named, found=found),) if named not in ("", found) else ()


__all__ = ["FileFacts", "Row", "Table", "TableFile", "read_table_file", "refuse_too_big"]
