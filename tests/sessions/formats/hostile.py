"""Files that are broken or meant to harm, each with the code of what must be said. Made here, byte by byte."""

from __future__ import annotations

import io
import random
import struct
import zipfile
import zlib
from collections.abc import Callable

import openpyxl

from tests.sessions.formats import table_writer

CONTENT_TYPES = """<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Override PartName="/xl/workbook.xml"
 ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>
<Override PartName="/xl/worksheets/sheet1.xml"
 ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>"""
RELATIONS = """<?xml version="1.0"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Id="rId1"
 Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/{kind}" Target="{target}"/>
</Relationships>"""
WORKBOOK = """<?xml version="1.0"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"
 xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships">
<sheets><sheet name="Throws" sheetId="1" r:id="rId1"/></sheets></workbook>"""
SHEET = (
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">{before}'
    "<sheetData>{rows}</sheetData></worksheet>"
)


def workbook(rows: str, *, before: str = "", prolog: str = "", extra: dict[str, bytes] | None = None) -> bytes:
    """An XLSX of one sheet whose rows are written by hand (ECMA-376, part 1)."""
    parts = {
        "[Content_Types].xml": CONTENT_TYPES,
        "_rels/.rels": RELATIONS.format(kind="officeDocument", target="xl/workbook.xml"),
        "xl/workbook.xml": WORKBOOK,
        "xl/_rels/workbook.xml.rels": RELATIONS.format(kind="worksheet", target="worksheets/sheet1.xml"),
        "xl/worksheets/sheet1.xml": prolog + SHEET.format(before=before, rows=rows),
        **(extra or {}),
    }
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return target.getvalue()


def with_shared_texts(rows: str, *items: str, prolog: str = "") -> bytes:
    """A workbook whose texts stand apart, as most spreadsheet programs write them; `items` are <si> contents."""
    override = (
        '<Override PartName="/xl/sharedStrings.xml"'
        ' ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/></Types>'
    )
    shared = "".join(f"<si>{item}</si>" for item in items)
    namespace = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    parts = {
        "[Content_Types].xml": CONTENT_TYPES.replace("</Types>", override).encode(),
        "xl/sharedStrings.xml": f'{prolog}<sst xmlns="{namespace}">{shared}</sst>'.encode(),
    }
    return workbook(rows, extra=parts)


def row(number: int, *cells: str) -> str:
    """A row; "text" is written inline, a number or other XML as it is."""
    written = "".join(
        cell if cell.startswith("<") else f'<c t="inlineStr"><is><t>{cell}</t></is></c>' for cell in cells
    )
    return f'<row r="{number}">{written}</row>'


def number(value: object) -> str:
    return f"<c><v>{value}</v></c>"


def archive(entries: dict[str, bytes], **attributes: int) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as packed:
        for name, content in entries.items():
            info = zipfile.ZipInfo(name)
            for key, value in attributes.items():
                setattr(info, key, value)
            packed.writestr(info, content)
    return target.getvalue()


def declared_bomb() -> bytes:
    """A directory that declares 4 GB for one part."""
    data = bytearray(workbook(row(1, "a", "b"), extra={"xl/media/big.xml": b"x" * 100}))
    entry = data.rfind(b"xl/media/big.xml") - 46
    data[entry + 24 : entry + 28] = struct.pack("<I", 0xFFFFFF00)
    return bytes(data)


def lying_bomb() -> bytes:
    """A sheet that unpacks to 60 MB and declares 100 bytes."""
    data = bytearray(workbook(row(1, "a" * 60_000_000)))
    entry = data.rfind(b"xl/worksheets/sheet1.xml") - 46
    data[entry + 24 : entry + 28] = struct.pack("<I", 100)
    return bytes(data)


def squeezed_bomb() -> bytes:
    """60 MB of one letter: under the total, far beyond any table's ratio."""
    return workbook(row(1, "a"), extra={"xl/worksheets/sheet2.xml": b"a" * 60_000_000})


def sparse_far_cells() -> bytes:
    """A thousand rows whose only cell is in the last column, a million rows apart."""
    far = "".join(f'<row r="{n}"><c r="XFD{n}"><v>1</v></c></row>' for n in range(1, 1_048_576, 1048))
    return workbook(far)


def styled_far_cells() -> bytes:
    """Cells without a value in the last column of many rows: formatting, and a lot of it."""
    far = "".join(f'<row r="{n}"><c r="A{n}"><v>1</v></c><c r="XFD{n}"/></row>' for n in range(1, 3000))
    return workbook(far)


def without_sheet() -> bytes:
    """A workbook that names a sheet and does not hold it."""
    with zipfile.ZipFile(io.BytesIO(workbook(row(1, "a", "b")))) as whole:
        parts = {name: whole.read(name) for name in whole.namelist() if "sheet1" not in name}
    return archive(parts)


def many_sheets() -> bytes:
    book = openpyxl.Workbook()
    for _ in range(100):
        book.create_sheet()
    return table_writer.saved(book)


def picture() -> bytes:
    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    pixels = zlib.compress(b"\x00\x00")
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")


def compound(stream: str) -> bytes:
    """The first bytes of a compound file and a directory entry of that name (MS-CFB)."""
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504) + stream.encode("utf-16-le").ljust(512, b"\x00")


def good_workbook() -> bytes:
    return table_writer.as_workbook(table_writer.wide())


def scrambled_workbook() -> bytes:
    """The packed bytes of the sheet are turned over; the directory is whole."""
    data = bytearray(good_workbook())
    start = data.find(b"xl/worksheets/sheet1.xml") + 40
    data[start : start + 60] = bytes(byte ^ 0xFF for byte in data[start : start + 60])
    return bytes(data)


def noise() -> bytes:
    return random.Random(5).randbytes(4000)


ENTITIES = (
    '<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">'
    '<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>'
)

# name → (bytes, file name, code of the refusal, a piece of its sentence)
REFUSED: dict[str, tuple[Callable[[], bytes], str, str, str]] = {
    "empty": (lambda: b"", "a.csv", "empty", "The file is empty"),
    "only blanks": (lambda: b" \r\n\r\n\t\n", "a.csv", "empty", "The file is empty"),
    "only a byte-order mark": (lambda: b"\xef\xbb\xbf", "a.csv", "empty", "The file is empty"),
    "too big": (lambda: b"a,b\n" * 10_000_001, "a.csv", "too_big", "The file has 40 MB and tables may have 40 MB"),
    "prose": (lambda: b"Dear coach\nhere are the numbers\n", "a.csv", "not_a_table", "No columns were found"),
    "one column": (lambda: b"value\n1\n2\n3\n", "a.csv", "not_a_table", "No columns were found"),
    "random bytes": (noise, "a.csv", "binary", "This is no text"),
    "zero bytes": (lambda: bytes(5000), "a.csv", "binary", "This is no text"),
    "zero byte inside": (lambda: b"a,b\n1,\x002\n3,4\n", "a.csv", "binary", "This is no text"),
    "zero inside utf-16": (lambda: "a,b\n1,\x002\n".encode("utf-16"), "a.csv", "binary", "This is no text"),
    "control characters": (lambda: b"a,b\n\x01\x02\x03\x04\x05\x06\x07,1\n", "a.csv", "binary", "This is no text"),
    "no character of Windows-1252": (lambda: b"a,b\n\x81\x8d\x8f,1\n", "a.csv", "binary", "This is no text"),
    "broken utf-16": (
        lambda: b"\xff\xfea\x00,\x00\x00\xd8b\x00",
        "a.csv",
        "wrong_encoding",
        "cannot be read as UTF-16",
    ),
    "picture named as table": (picture, "a.csv", "wrong_kind", "This is a picture (PNG), not a table"),
    "picture named as workbook": (picture, "a.xlsx", "wrong_kind", "This is a picture (PNG), not a table"),
    "pdf": (lambda: b"%PDF-1.7\n1 0 obj", "a.csv", "wrong_kind", "This is a PDF, not a table"),
    "web page": (lambda: b"\n<!DOCTYPE html><html>", "a.xls", "wrong_kind", "This is a web page, not a table"),
    "xml": (lambda: b'<?xml version="1.0"?><a/>', "a.xlsx", "wrong_kind", "This is an XML document"),
    "json": (lambda: b'{"a": [1, 2]}', "a.csv", "wrong_kind", "This is a JSON document"),
    "program": (lambda: b"\x7fELF\x02\x01\x01" + bytes(60), "a.csv", "wrong_kind", "This is a program"),
    "video": (lambda: b"\x00\x00\x00\x18ftypmp42" + bytes(60), "a.csv", "wrong_kind", "This is a video"),
    "gzip": (lambda: b"\x1f\x8b\x08" + bytes(60), "a.csv", "wrong_kind", "This is a packed file (gzip)"),
    "workbook with a password": (lambda: compound("EncryptedPackage"), "a.xlsx", "password", "protected by a password"),
    "workbook of the old kind": (lambda: compound("Workbook"), "a.xls", "old_workbook", "of the old XLS kind"),
    "cut workbook": (lambda: good_workbook()[:-400], "a.xlsx", "damaged_workbook", "damaged or cut short"),
    "workbook's first bytes": (lambda: good_workbook()[:40], "a.xlsx", "damaged_workbook", "damaged or cut short"),
    "scrambled workbook": (
        scrambled_workbook,
        "a.xlsx",
        "damaged_workbook",
        "damaged or cut short",
    ),
    "zip of tables": (lambda: archive({"a.csv": b"a,b\n1,2\n"}), "a.zip", "archive", "This is a ZIP archive"),
    "zip of a zip": (
        lambda: archive({"inner.zip": archive({"a.csv": b"a,b"})}),
        "a.xlsx",
        "archive",
        "Unpack it and upload the tables",
    ),
    "empty zip": (lambda: archive({}), "a.xlsx", "archive", "This is a ZIP archive"),
    "text document": (lambda: archive({"word/document.xml": b""}), "a.xlsx", "other_workbook", "a text document"),
    "binary workbook": (lambda: archive({"xl/workbook.bin": b""}), "a.xlsx", "other_workbook", "(XLSB)"),
    "path that climbs": (
        lambda: archive({"[Content_Types].xml": b"", "../../etc/passwd": b""}),
        "a.xlsx",
        "unsafe_workbook",
        "a path that leaves the workbook",
    ),
    "path with backslashes": (
        lambda: archive({"[Content_Types].xml": b"", "..\\evil": b""}),
        "a.xlsx",
        "unsafe_workbook",
        "a path that leaves the workbook",
    ),
    "link": (
        lambda: archive({"[Content_Types].xml": b"/etc/passwd"}, external_attr=0o120777 << 16),
        "a.xlsx",
        "unsafe_workbook",
        "a link to another file",
    ),
    "endless part name": (
        lambda: archive({"[Content_Types].xml": b"", "x" * 300: b""}),
        "a.xlsx",
        "unsafe_workbook",
        "a name that is too long",
    ),
    "declared bomb": (declared_bomb, "a.xlsx", "workbook_too_large", "far larger than a table"),
    "squeezed bomb": (squeezed_bomb, "a.xlsx", "workbook_too_large", "far larger than a table"),
    "lying bomb": (lying_bomb, "a.xlsx", "damaged_workbook", "damaged or cut short"),
    "many parts": (
        lambda: archive({f"p{n}": b"" for n in range(5001)}),
        "a.xlsx",
        "workbook_too_large",
        "far larger than a table",
    ),
    "entities": (
        lambda: workbook(row(1, "&c;"), prolog=ENTITIES),
        "a.xlsx",
        "damaged_workbook",
        "damaged or cut short",
    ),
    "entity of a file": (
        lambda: workbook(row(1, "&x;"), prolog='<!DOCTYPE w [<!ENTITY x SYSTEM "file:///etc/passwd">]>'),
        "a.xlsx",
        "damaged_workbook",
        "damaged or cut short",
    ),
    "elements nested without end": (
        lambda: workbook("<row>" * 200_000),
        "a.xlsx",
        "damaged_workbook",
        "damaged or cut short",
    ),
    "pdf that is a zip too": (lambda: b"%PDF-1.7\n" + good_workbook(), "a.xlsx", "wrong_kind", "This is a PDF"),
    "table that is a zip too": (lambda: b"a,b\n1,2\n" + good_workbook(), "a.csv", "binary", "This is no text"),
    "page named as table": (
        lambda: b"<html><table><tr><td>1</td></tr></table></html>",
        "a.csv",
        "wrong_kind",
        "This is a web page",
    ),
    "more sheets than are read": (many_sheets, "a.xlsx", "too_many_sheets", "has 101 sheets"),
    "cell far beyond any column": (
        lambda: workbook(row(1, "a", "b") + '<row r="2"><c r="A2"><v>1</v></c><c r="ZZZZ2"><v>2</v></c></row>'),
        "a.xlsx",
        "damaged_workbook",
        "damaged or cut short",
    ),
    "row number nought": (
        lambda: workbook(row(1, "a", "b") + '<row r="0"><c r="A0"><v>1</v></c><c r="B0"><v>2</v></c></row>'),
        "a.xlsx",
        "damaged_workbook",
        "damaged or cut short",
    ),
    "entities among the shared texts": (
        lambda: with_shared_texts(row(1, '<c t="s"><v>0</v></c>'), "<t>&c;</t>", prolog=ENTITIES),
        "a.xlsx",
        "damaged_workbook",
        "damaged or cut short",
    ),
    "workbook without its sheet": (without_sheet, "a.xlsx", "empty", "The file is empty"),
    "far cells": (sparse_far_cells, "a.xlsx", "too_many_columns", "row 1: this row has 16,384 columns"),
    "row number of nine digits": (
        lambda: workbook('<row r="1"><c><v>1</v></c></row><row r="999999999"><c><v>1</v></c></row>'),
        "a.xlsx",
        "too_many_rows",
        "more than 1,048,576 rows",
    ),
    "row number that is none": (
        lambda: workbook('<row r="x"><c><v>1</v></c></row>'),
        "a.xlsx",
        "damaged_workbook",
        "damaged or cut short",
    ),
    "empty workbook": (lambda: workbook(""), "a.xlsx", "empty", "The file is empty"),
    "huge workbook cell": (
        lambda: workbook(row(1, "a", "b") + row(2, "x" * 40_000, "y")),
        "a.xlsx",
        "cell_too_long",
        "more than 32,767 characters",
    ),
    "ten thousand columns": (
        lambda: ",".join(f"m{n}" for n in range(10_000)).encode() + b"\n" + b"1," * 9_999 + b"1\n",
        "a.csv",
        "too_many_columns",
        "Row 1: this row has 10,000 columns and at most 2,000 are read",
    ),
    "huge cell": (
        lambda: b"a,b\n" + b"1,2\n" * 50 + b"x" * 100_000 + b",1\n",
        "a.csv",
        "cell_too_long",
        "Row 52: a cell holds more than 32,767 characters",
    ),
    "huge first cell": (lambda: b"x" * 100_000 + b",1\n", "a.csv", "cell_too_long", "more than 32,767 characters"),
    "quotation that swallows the file": (
        lambda: b'a,b\n1,"2\n' + b"3,4\n" * 20_000,
        "a.csv",
        "cell_too_long",
        "Row 2: a cell holds more than 32,767 characters. A quotation mark that opens and never closes",
    ),
    "too many rows": (lambda: b"a,b\n" + b"1,2\n" * 300_001, "a.csv", "too_many_rows", "more than 300,000 rows"),
    "blank rows without end": (
        lambda: b"a,b\n1,2\n" + b"\n" * 1_100_000,
        "a.csv",
        "too_many_rows",
        "delete empty rows at the end",
    ),
    "too many cells": (
        lambda: b",".join([b"m"] * 1500) + b"\n" + (b",".join([b"1"] * 1500) + b"\n") * 2001,
        "a.csv",
        "too_many_cells",
        "more than 3,000,000 cells",
    ),
}

# name → (bytes, file name, code of a problem that must be among those told); the rest of the file is read
TOLD: dict[str, tuple[Callable[[], bytes], str, str]] = {
    "workbook named as text": (good_workbook, "a.csv", "other_extension"),
    "text named as workbook": (lambda: b"a,b\n1,2\n", "a.xlsx", "other_extension"),
    "table named as a picture": (lambda: b"a,b\n1,2\n", "a.png", "other_extension"),
    "macros": (
        lambda: workbook(row(1, "a", "b") + row(2, number(1), number(2)), extra={"xl/vbaProject.bin": b"x"}),
        "a.xlsm",
        "macros",
    ),
    "declared dimension of a whole sheet": (
        lambda: workbook(row(1, "a", "b") + row(2, number(1)), before='<dimension ref="A1:XFD1048576"/>'),
        "a.xlsx",
        "",
    ),
    "formatting of far cells": (styled_far_cells, "a.xlsx", "no_header"),
    "formula without a result": (
        lambda: workbook(row(1, "a", "b") + '<row r="2"><c r="A2"><v>1</v></c><c r="B2"><f>A2*2</f></c></row>'),
        "a.xlsx",
        "formula_without_value",
    ),
    "numbers as text": (lambda: workbook(row(1, "a", "b") + row(2, "1.5", "2.5")), "a.xlsx", "number_as_text"),
    "infinite in a workbook": (
        lambda: workbook(row(1, "a", "b") + row(2, number(1), number(2)) + row(3, number(1), number("1e999"))),
        "a.xlsx",
        "infinite_number",
    ),
    "infinite as a word": (lambda: b"a,b\n1,2\n3,inf\n", "a.csv", "infinite_number"),
    "1e308": (lambda: b"a,b\n1,2\n3,1e308\n", "a.csv", "number_out_of_reach"),
    "NaN as a word": (lambda: b"a,b\n1,2\n3,NaN\n", "a.csv", "missing_words"),
    "ragged": (lambda: b"a,b\n1,2\n3,4,5\n6,7\n", "a.csv", "row_too_long"),
    "mixed delimiters": (lambda: b"a,b,c\n1,2,3\n4;5;6\n7,8,9\n", "a.csv", "other_delimiter"),
    "quotation that opens late": (lambda: b'a,b\n1,2\n3,"4\n5,6\n', "a.csv", "unclosed_quote"),
    "formulas to run in a spreadsheet": (lambda: b"name,v\n=cmd|' /C calc'!A0,1\n@SUM(1),2\n", "a.csv", ""),
    "name written from right to left": (lambda: b"a,b\n1,2\n", "gpj.\u202evsc.csv", ""),
    "markup in names and cells": (
        lambda: b"<script>alert(1)</script>,<b>x</b>\n<img src=x onerror=alert(1)>,1\n2,3\n",
        "<script>alert(1)</script>.csv",
        "",
    ),
    "name that climbs": (lambda: b"a,b\n1,2\n", "../../../etc/passwd.csv", ""),
    "name of nothing but dots": (lambda: b"a,b\n1,2\n", "...", ""),
    "link to another workbook": (
        lambda: workbook(
            row(1, "a", "b") + '<row r="2"><c r="A2"><v>1</v></c><c r="B2"><f>[1]Sheet1!A1</f><v>2</v></c></row>',
            extra={"xl/externalLinks/externalLink1.xml": b"<externalLink/>"},
        ),
        "a.xlsx",
        "",
    ),
    "dates as huge numbers": (lambda: b"Date,Throw,Elbow\n2958466,1,90\n99999999,2,91\n", "a.csv", ""),
    "name of 300 characters": (lambda: b"a,b\n1,2\n", "x" * 300 + ".csv", ""),
    "columns deep in XML": (
        lambda: workbook(row(1, "a", "b") + row(2, number(1), "<c>" + "<x>" * 5000 + "</x>" * 5000 + "</c>")),
        "a.xlsx",
        "",
    ),
}
