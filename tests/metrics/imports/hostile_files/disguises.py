"""Files that are two things at once, or not what they say."""

from __future__ import annotations

from tests.metrics.imports.hostile_files.rows import Hostile, read, refused
from tests.sessions.formats import hostile

TABLE = b"a,b\n1,2\n"


def zipped() -> bytes:
    return hostile.archive({"a.csv": TABLE})


ROWS: dict[str, Hostile] = {
    "a table and a ZIP archive": refused(lambda: TABLE + zipped(), "a.csv", "This is no text"),
    "a table and a workbook": refused(lambda: TABLE + hostile.good_workbook(), "a.csv", "This is no text"),
    "a workbook and a table": read(lambda: hostile.good_workbook() + TABLE, "a.xlsx", ""),
    "a PDF and a ZIP archive": refused(lambda: b"%PDF-1.7\n" + zipped(), "a.xlsx", "This is a PDF, not a table"),
    "a picture and a workbook": refused(
        lambda: hostile.picture() + hostile.good_workbook(), "a.xlsx", "This is a picture (PNG), not a table"
    ),
    "a table that begins as a ZIP archive": refused(
        lambda: b"PK\x03\x04,b\n1,2\n", "a.csv", "The workbook is damaged or cut short"
    ),
    "a table that begins as a picture": refused(lambda: b"GIF89a,b\n1,2\n", "a.csv", "This is a picture (GIF)"),
    "a table that begins as a program": read(lambda: b"MZ,b\n1,2\n", "a.csv", ""),
    "a page around a table": refused(
        lambda: b"<html><table><tr><td>a</td></tr></table></html>", "a.csv", "This is a web page, not a table"
    ),
    "a drawing with a script": refused(
        lambda: b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
        "a.csv",
        "No columns were found",
    ),
    "a ZIP archive named as a table": refused(zipped, "a.csv", "This is a ZIP archive"),
    "an old workbook named as a table": refused(lambda: hostile.compound("Workbook"), "a.csv", "of the old XLS kind"),
    "a workbook with a password named as a table": refused(
        lambda: hostile.compound("EncryptedPackage"), "a.csv", "protected by a password"
    ),
    "an OpenDocument sheet": refused(
        lambda: hostile.archive({"content.xml": b""}), "a.xlsx", "This is an OpenDocument file"
    ),
    "a table named as nothing": read(lambda: TABLE, "a", ""),
    "a table named as a program": read(lambda: TABLE, "a.exe", "The name says another kind of file"),
}
