"""A look at a workbook's ZIP directory before anything in it is unpacked.

Everything here reads only what the archive declares. A part that declares less than it holds fails later, since
the unpacker stops at the declared size and the checksum is wrong.
"""

from __future__ import annotations

import io
import stat
import zipfile
from typing import Final

from sessions.formats import limits
from sessions.formats.problems import UnreadableFile, unreadable

_CONTENT_TYPES: Final = "[Content_Types].xml"
_ENCRYPTED_FLAG: Final = 0x1
_METHODS: Final = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)

# (an entry that gives the kind away, what a person calls it)
_OTHER_KINDS: Final = (
    ("xl/workbook.bin", "a binary workbook (XLSB)"),
    ("word/document.xml", "a text document"),
    ("ppt/presentation.xml", "a slide show"),
    ("content.xml", "an OpenDocument file"),
    ("Index/Document.iwa", "a spreadsheet of another program"),
)


class WorkbookArchive(zipfile.ZipFile):
    """An archive whose parts are streamed with `open`; as a whole only short ones are read.

    The workbook library builds a tree of each part that it reads, forty times as large as the part.
    """

    def read(self, name: str | zipfile.ZipInfo, pwd: bytes | None = None) -> bytes:
        """Raises UnreadableFile (workbook_too_large) beyond LIST_BYTES; KeyError when there is no such part."""
        entry = name if isinstance(name, zipfile.ZipInfo) else self.getinfo(name)
        if entry.file_size > limits.LIST_BYTES:
            raise unreadable("workbook_too_large")
        return super().read(entry, pwd)


def checked_archive(data: bytes) -> WorkbookArchive:
    """The opened archive of a workbook that is safe to unpack.

    Raises UnreadableFile: damaged_workbook, archive, password, other_workbook, unsafe_workbook,
    workbook_too_large.
    """
    try:
        archive = WorkbookArchive(io.BytesIO(data))
        entries = archive.infolist()
    except Exception as error:  # zipfile raises struct.error, ValueError and others for a damaged directory
        raise unreadable("damaged_workbook") from error
    refusal = _first_refusal(entries)
    if refusal:
        raise refusal
    return archive


def has_macros(archive: zipfile.ZipFile) -> bool:
    return any(name.lower().endswith("vbaproject.bin") for name in archive.namelist())


def _first_refusal(entries: list[zipfile.ZipInfo]) -> UnreadableFile | None:
    names = [entry.filename for entry in entries]
    if any(entry.flag_bits & _ENCRYPTED_FLAG for entry in entries):
        return unreadable("password")
    if _too_large(entries):
        return unreadable("workbook_too_large")
    unsafe = next((what for entry in entries if (what := _unsafe(entry))), None)
    if unsafe or len(set(names)) != len(names):
        return unreadable("unsafe_workbook", what=unsafe or "two parts of one name")
    for sign, kind in _OTHER_KINDS:
        if sign in names:
            return unreadable("other_workbook", kind=kind)
    if _CONTENT_TYPES not in names:
        return unreadable("archive")
    return None


def _too_large(entries: list[zipfile.ZipInfo]) -> bool:
    if len(entries) > limits.ZIP_ENTRIES or sum(e.file_size for e in entries) > limits.ZIP_TOTAL_BYTES:
        return True
    large = (e for e in entries if e.file_size > limits.ZIP_RATIO_FROM_BYTES)
    return any(e.file_size > limits.ZIP_RATIO * max(1, e.compress_size) for e in large)


def _unsafe(entry: zipfile.ZipInfo) -> str | None:
    name = entry.filename
    if name.startswith("/") or ":" in name or ".." in name.replace("\\", "/").split("/"):
        return "a path that leaves the workbook"
    if stat.S_ISLNK(entry.external_attr >> 16):
        return "a link to another file"
    if entry.compress_type not in _METHODS:
        return "an unusual compression"
    if len(name) > 250:
        return "a name that is too long"
    return None
