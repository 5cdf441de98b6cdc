"""What a file is by its first bytes, whatever its name says.

Magic numbers are public: each format's own specification, as collected in the `file` program's magic database
(from memory).
"""

from __future__ import annotations

from typing import Final

from sessions.formats.problems import UnreadableFile, unreadable

ZIP: Final = b"PK\x03\x04"
EMPTY_ZIP: Final = b"PK\x05\x06"
COMPOUND: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""The compound file of old office programs; a workbook with a password is wrapped in one (MS-OFFCRYPTO)."""

# (offset, bytes, what a person calls it)
FOREIGN: Final = (
    (0, b"\x89PNG", "a picture (PNG)"),
    (0, b"\xff\xd8\xff", "a picture (JPEG)"),
    (0, b"GIF8", "a picture (GIF)"),
    (0, b"BM", "a picture (BMP)"),
    (0, b"II*\x00", "a picture (TIFF)"),
    (0, b"MM\x00*", "a picture (TIFF)"),
    (8, b"WEBP", "a picture (WebP)"),
    (8, b"AVI ", "a video"),
    (4, b"ftyp", "a video or a phone's picture"),
    (0, b"\x1aE\xdf\xa3", "a video"),
    (0, b"ID3", "a sound file"),
    (0, b"%PDF", "a PDF"),
    (0, b"{\\rtf", "a text document (RTF)"),
    (0, b"\x1f\x8b", "a packed file (gzip)"),
    (0, b"7z\xbc\xaf", "a packed file (7z)"),
    (0, b"Rar!", "a packed file (RAR)"),
    (0, b"BZh", "a packed file (bzip2)"),
    (0, b"\xfd7zXZ", "a packed file (xz)"),
    (0, b"\x7fELF", "a program"),
    (0, b"MZ", "a program"),
    (0, b"SQLite format 3", "a database"),
    (0, b"\x89HDF", "a data file (HDF5)"),
    (0, b"MATLAB 5.0", "a data file (MAT)"),
    (0, b"\x93NUMPY", "a data file (NPY)"),
    (0, b"PAR1", "a data file (Parquet)"),
)
# Two-letter and three-letter signs could begin a column's name; they count only beside bytes that no text has.
_SHORT: Final = 4

_MARKUP: Final = (
    (b"<!doctype html", "a web page"),
    (b"<html", "a web page"),
    (b"<?xml", "an XML document"),
    (b'{"', "a JSON document"),
    (b"{\n", "a JSON document"),
    (b"{\r", "a JSON document"),
    (b"{ ", "a JSON document"),
    (b"[{", "a JSON document"),
)


def foreign_kind(data: bytes) -> str:
    """What the bytes are when they are a picture, video, archive, program, web page and the like, else ""."""
    for offset, magic, kind in FOREIGN:
        if data[offset : offset + len(magic)] == magic and (len(magic) >= _SHORT or b"\x00" in data[:4096]):
            return kind
    start = data[:512].removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    return next((kind for mark, kind in _MARKUP if start.startswith(mark)), "")


def refuse_foreign(data: bytes) -> None:
    """Raises UnreadableFile (wrong_kind) when the bytes are of a kind that no table has."""
    kind = foreign_kind(data)
    if kind:
        raise unreadable("wrong_kind", kind=kind)


def compound_refusal(data: bytes) -> UnreadableFile:
    """Why a compound file cannot be read: a password, or the old XLS kind."""
    streams = data.replace(b"\x00", b"")
    if b"EncryptedPackage" not in streams and (b"Workbook" in streams or b"Book" in streams):
        return unreadable("old_workbook")
    return unreadable("password")
