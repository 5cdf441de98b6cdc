"""Workbooks that are broken or meant to harm, written part by part (ECMA-376, part 1)."""

from __future__ import annotations

import zipfile

from tests.metrics.imports.hostile_files.rows import Hostile, read, refused
from tests.sessions.formats import hostile
from tests.sessions.formats.hostile import archive, number, row, workbook

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
GOOD = row(1, "a", "b") + row(2, number(1), number(2))
DAMAGED = "The workbook is damaged or cut short"
TOO_LARGE = "Unpacked, the workbook would be far larger than a table of throws can be"
OUTSIDE = '<?xml version="1.0"?><!DOCTYPE w [<!ENTITY c SYSTEM "file:///etc/passwd">]>'
SHEET_KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
SHEET_RELATION = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet"
KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml."


def with_part(name: str, kind: str, content: str, rows: str = GOOD, **more: str) -> bytes:
    """A workbook with one more part that its list of parts names; `more` is the content of the workbook's own."""
    override = f'<Override PartName="/{name}" ContentType="{kind}"/></Types>'
    types = hostile.CONTENT_TYPES.replace("</Types>", override)
    parts = {"[Content_Types].xml": types, name: content, **{f"xl/{key}.xml": text for key, text in more.items()}}
    return workbook(rows, extra={key: text.encode() for key, text in parts.items()})


def with_styles(inside: str, rows: str = GOOD, **more: str) -> bytes:
    content = f'<styleSheet xmlns="{MAIN}">{inside}</styleSheet>'
    return with_part("xl/styles.xml", f"{KIND}styles+xml", content, rows, **more)


def with_texts(content: str, rows: str = GOOD) -> bytes:
    return with_part("xl/sharedStrings.xml", f"{KIND}sharedStrings+xml", f'<sst xmlns="{MAIN}">{content}</sst>', rows)


def with_workbook(old: str, new: str, rows: str = GOOD) -> bytes:
    """A workbook in whose main part one piece is another."""
    assert old in hostile.WORKBOOK
    return workbook(rows, extra={"xl/workbook.xml": hostile.WORKBOOK.replace(old, new).encode()})


def with_list(name: str, end: str, inside: str) -> bytes:
    """A workbook one of whose lists holds more than it needs."""
    content = {
        "[Content_Types].xml": hostile.CONTENT_TYPES,
        "xl/_rels/workbook.xml.rels": hostile.RELATIONS.format(kind="worksheet", target="worksheets/sheet1.xml"),
    }[name]
    return workbook(GOOD, extra={name: content.replace(end, inside + end).encode()})


def many_sheets(count: int, rows: str, *, one_part: bool = False) -> bytes:
    """`count` sheets with the same rows, each in a part of its own or all in one."""
    numbers = range(1, count + 1)
    files = {n: f"worksheets/sheet{1 if one_part else n}.xml" for n in numbers}
    overrides = "".join(f'<Override PartName="/xl/{name}" ContentType="{SHEET_KIND}"/>' for name in set(files.values()))
    sheets = "".join(f'<sheet name="S{n}" sheetId="{n}" r:id="rId{n}"/>' for n in numbers)
    relations = "".join(f'<Relationship Id="rId{n}" Type="{SHEET_RELATION}" Target="{files[n]}"/>' for n in numbers)
    namespace = "http://schemas.openxmlformats.org/package/2006/relationships"
    parts = {
        "[Content_Types].xml": hostile.CONTENT_TYPES.replace("</Types>", f"{overrides}</Types>"),
        "xl/workbook.xml": hostile.WORKBOOK.replace('<sheet name="Throws" sheetId="1" r:id="rId1"/>', sheets),
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{namespace}">{relations}</Relationships>',
        **{f"xl/{name}": hostile.SHEET.format(before="", rows=rows) for name in set(files.values())},
    }
    return workbook("", extra={name: content.encode() for name, content in parts.items()})


def cell(reference: str, value: object = 1) -> str:
    return f'<c r="{reference}"><v>{value}</v></c>'


def at(reference: str, row_number: str = "2") -> bytes:
    """A good first row, and one cell that says that it stands at `reference`."""
    return workbook(row(1, "a", "b") + f'<row r="{row_number}">{cell(reference)}</row>')


def dates(*serials: object, **more: str) -> bytes:
    """A column of numbers that their style shows as dates."""
    rows = "".join(f'<row r="{n}"><c s="1"><v>{day}</v></c>{number(n)}</row>' for n, day in enumerate(serials, 2))
    styles = '<cellXfs><xf numFmtId="0"/><xf numFmtId="14"/></cellXfs>'
    return with_styles(styles, row(1, "Date", "v") + rows, **more)


def formulas(*pairs: tuple[str, str]) -> bytes:
    """One row of formulas with what the file keeps as their result."""
    names = row(1, *(f"m{n}" for n in range(len(pairs))))
    cells = "".join(f"<c><f>{text}</f>{f'<v>{result}</v>' if result else ''}</c>" for text, result in pairs)
    return workbook(names + f'<row r="2">{cells}</row>')


WIDE_ROWS = GOOD + ("<row>" + number(1) * 1500 + "</row>") * 400
LONG_TEXT = "x" * 32_767

ROWS: dict[str, Hostile] = {
    # Floods: little when packed, and much to do.
    "millions of nested marks": refused(
        lambda: workbook(GOOD + "<x>" * 2_800_000 + "</x>" * 2_800_000), "a.xlsx", TOO_LARGE
    ),
    "millions of foreign marks": refused(lambda: workbook(GOOD + "<x/>" * 4_900_000), "a.xlsx", TOO_LARGE),
    "millions of cells without a value": refused(
        lambda: workbook(GOOD + "<row>" + "<c/>" * 4_900_000 + "</row>"),
        "a.xlsx",
        "there are more than 1,200,000 cells",
    ),
    "millions of rows without a cell": refused(
        lambda: workbook(GOOD + "<row/>" * 3_200_000), "a.xlsx", "the table has more than 1,048,576 rows"
    ),
    "a million blank rows of a workbook": read(
        lambda: workbook(GOOD + "".join(f'<row r="{n}"/>' for n in range(3, 1_000_000))), "a.xlsx", ""
    ),
    "many sheets of rows without a cell": refused(
        lambda: many_sheets(14, GOOD + "<row/>" * 1_000_000), "a.xlsx", "the table has more than 1,048,576 rows"
    ),
    "a hundred sheets in one part": refused(
        lambda: many_sheets(100, WIDE_ROWS, one_part=True), "a.xlsx", "there are more than 1,200,000 cells"
    ),
    "101 sheets": refused(lambda: many_sheets(101, GOOD), "a.xlsx", "has 101 sheets and at most 100 are read"),
    "a million styles": refused(
        lambda: with_styles("<cellXfs>" + "<xf/>" * 1_100_000 + "</cellXfs>"), "a.xlsx", TOO_LARGE
    ),
    "millions of shared texts": refused(lambda: with_texts("<si/>" * 1_100_000), "a.xlsx", TOO_LARGE),
    "a long list of parts": refused(
        lambda: with_list("[Content_Types].xml", "</Types>", '<Default Extension="z" ContentType="z"/>' * 60_000),
        "a.xlsx",
        TOO_LARGE,
    ),
    "a long list of relations": refused(
        lambda: with_list(
            "xl/_rels/workbook.xml.rels", "</Relationships>", '<Relationship Id="q" Type="t" Target="x"/>' * 60_000
        ),
        "a.xlsx",
        TOO_LARGE,
    ),
    "one mark of 19 MB": refused(
        lambda: workbook(GOOD + "<x " + " ".join(f'a{n}=""' for n in range(1_500_000)) + "/>"), "a.xlsx", TOO_LARGE
    ),
    "one remark of 19 MB": refused(lambda: workbook(GOOD + "<!--" + "y" * 19_000_000 + "-->"), "a.xlsx", TOO_LARGE),
    # Markup that reaches outside, or grows.
    "entity from outside in a sheet": refused(lambda: workbook(row(1, "&c;"), prolog=OUTSIDE), "a.xlsx", DAMAGED),
    "entity from outside in the workbook": refused(
        lambda: with_workbook('<?xml version="1.0"?>', OUTSIDE), "a.xlsx", DAMAGED
    ),
    "entity from outside in the styles": refused(
        lambda: with_part("xl/styles.xml", f"{KIND}styles+xml", OUTSIDE + "<w>&c;</w>"), "a.xlsx", DAMAGED
    ),
    "entity from outside in the texts": refused(
        lambda: with_part("xl/sharedStrings.xml", f"{KIND}sharedStrings+xml", OUTSIDE + "<w>&c;</w>"), "a.xlsx", DAMAGED
    ),
    "entities that grow in the workbook": refused(
        lambda: with_workbook('<?xml version="1.0"?>', hostile.ENTITIES), "a.xlsx", DAMAGED
    ),
    "half a character pair in a sheet": refused(lambda: workbook(row(1, "&#xD800;", "b")), "a.xlsx", DAMAGED),
    "unknown character set in a sheet": refused(
        lambda: workbook(GOOD, prolog='<?xml version="1.0" encoding="x-none"?>'), "a.xlsx", DAMAGED
    ),
    "link to another workbook": read(
        lambda: workbook(
            row(1, "a", "b") + '<row r="2"><c><f>[1]Other!A1</f><v>1.5</v></c><c><v>2</v></c></row>',
            extra={"xl/externalLinks/externalLink1.xml": b"<externalLink/>"},
        ),
        "a.xlsx",
        "",
    ),
    "sheet that lies elsewhere": refused(
        lambda: workbook(
            GOOD,
            extra={
                "xl/_rels/workbook.xml.rels": hostile.RELATIONS.format(
                    kind="worksheet", target="file:///etc/passwd"
                ).encode()
            },
        ),
        "a.xlsx",
        "The file is empty",
    ),
    "sheet that is the workbook": refused(
        lambda: workbook(
            GOOD,
            extra={
                "xl/_rels/workbook.xml.rels": hostile.RELATIONS.format(kind="worksheet", target="workbook.xml").encode()
            },
        ),
        "a.xlsx",
        "The file is empty",
    ),
    # Cells in places that no sheet has.
    "cell A0": read(lambda: at("A0"), "a.xlsx", ""),
    "cell XFE1": refused(lambda: at("XFE2"), "a.xlsx", "row 2: this row has 16,385 columns and at most 2,000 are read"),
    "cell A1048577": refused(lambda: at("A1048577", "1048577"), "a.xlsx", "the table has more than 1,048,576 rows"),
    "cell without letters": refused(lambda: at("12"), "a.xlsx", DAMAGED),
    "cell of foreign letters": refused(lambda: at("Ä2"), "a.xlsx", DAMAGED),
    "cells in the wrong order": refused(
        lambda: workbook(row(1, "a", "b") + f'<row r="2">{cell("B2")}{cell("A2")}</row>'), "a.xlsx", DAMAGED
    ),
    "one cell twice": refused(
        lambda: workbook(row(1, "a", "b") + f'<row r="2">{cell("A2")}{cell("A2")}</row>'), "a.xlsx", DAMAGED
    ),
    "row of number -1": refused(lambda: at("A1", "-1"), "a.xlsx", DAMAGED),
    "row number of 5,000 digits": refused(lambda: at("A1", "9" * 5000), "a.xlsx", DAMAGED),
    "text that is not there": refused(
        lambda: workbook(row(1, "a", "b") + '<row r="2"><c t="s"><v>7</v></c></row>'), "a.xlsx", DAMAGED
    ),
    "style that is not there": read(
        lambda: workbook(row(1, "a", "b") + '<row r="2"><c s="999999"><v>7</v></c><c><v>1</v></c></row>'), "a.xlsx", ""
    ),
    # Values.
    "formulas in a circle": read(
        lambda: formulas(("B2", ""), ("A2", "")), "a.xlsx", "row 2, column A: this cell holds a formula"
    ),
    "formula that runs a program": read(lambda: formulas(("cmd|'/C calc'!A0", "1"), ("1+1", "2")), "a.xlsx", ""),
    "days far beyond the calendar": read(lambda: dates("46000", "1e10", "-5", "1e400", "NaN"), "a.xlsx", ""),
    "days counted from 1904": read(
        lambda: dates("44538", workbook=hostile.WORKBOOK.replace("<sheets>", '<workbookPr date1904="1"/><sheets>')),
        "a.xlsx",
        "",
    ),
    "cells as long as a cell may be": read(
        lambda: with_texts(
            f"<si><t>{LONG_TEXT}</t></si>",
            row(1, "a", "b") + ('<row><c t="s"><v>0</v></c>' + number(1) + "</row>") * 3000,
        ),
        "a.xlsx",
        "",
    ),
    "name of a sheet as markup": read(
        lambda: with_workbook(
            'name="Throws"', 'name="&lt;script&gt;alert(1)&lt;/script&gt;"', row(1, "a", "b") + row(2, "1", "2")
        ),
        "a.xlsx",
        "Sheet “&lt;script&gt;alert(1)&lt;/script&gt;”: numbers are stored as text, 2 times",
    ),
    "name of a sheet of 300 characters": read(
        lambda: with_workbook('name="Throws"', f'name="{"n" * 300}"', row(1, "a", "b") + row(2, "1", "2")),
        "a.xlsx",
        f"Sheet “{'n' * 40}…”: numbers are stored as text, 2 times",
    ),
    "hidden sheets only": refused(
        lambda: with_workbook('sheetId="1"', 'sheetId="1" state="hidden"'),
        "a.xlsx",
        "No sheet of the workbook that can be seen holds anything; there are hidden ones (“Throws”)",
    ),
    "very hidden sheets only": refused(
        lambda: with_workbook('sheetId="1"', 'sheetId="1" state="veryHidden"'), "a.xlsx", "there are hidden ones"
    ),
    "merged over the whole sheet": read(
        lambda: workbook(GOOD, before='<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>'), "a.xlsx", ""
    ),
    # The archive around it.
    "archive inside a workbook": read(
        lambda: workbook(GOOD, extra={"xl/embeddings/inner.zip": archive({"a.csv": b"a,b"})}), "a.xlsx", ""
    ),
    "path from the root": refused(
        lambda: archive({"[Content_Types].xml": b"", "/etc/passwd": b""}), "a.xlsx", "a path that leaves the workbook"
    ),
    "path with a drive": refused(
        lambda: archive({"[Content_Types].xml": b"", "C:evil": b""}), "a.xlsx", "a path that leaves the workbook"
    ),
    "unusual compression": refused(
        lambda: archive({"[Content_Types].xml": b"x"}, compress_type=zipfile.ZIP_LZMA), "a.xlsx", "unusual compression"
    ),
    "macros that are named as none": read(
        lambda: workbook(GOOD, extra={"xl/vbaProject.bin": b"x"}), "a.xlsx", "The workbook holds macros"
    ),
}
