"""Text files that are broken or meant to harm."""

from __future__ import annotations

from tests.metrics.imports.hostile_files.rows import Hostile, read, refused

SCRIPT = "<script>alert(1)</script>"


def table(header: str, *lines: str, encoding: str = "utf-8") -> bytes:
    return "\n".join((header, *lines, "")).encode(encoding)


def many_names(count: int, ending: bytes) -> bytes:
    """A row of `count` names that all end alike, above one row of numbers."""
    names = b",".join(b"h%d%s" % (number, ending) for number in range(count))
    return names + b"\n" + b",".join([b"1"] * count) + b"\n"


ROWS: dict[str, Hostile] = {
    "only names": read(
        lambda: b"Athlete,Throw,Stride length\n", "a.csv", "there are column names and no rows below them"
    ),
    "cell of 10 MB": refused(
        lambda: b"a,b\n1,2\n" + b"x" * 10_000_000 + b",3\n",
        "a.csv",
        "Row 3: a cell holds more than 32,767 characters",
    ),
    "one line of 39 MB": refused(lambda: b"x" * 39_000_000, "a.csv", "A cell holds more than 32,767 characters"),
    "39 MB of quotation marks": refused(lambda: b'"' * 39_000_000, "a.csv", "A cell holds more than 32,767 characters"),
    "six million quoted nothings": refused(
        lambda: b"a,b\n" + b'"",""\n' * 6_000_000, "a.csv", "The table has more than 1,048,576 rows"
    ),
    "a million rows of commas": read(lambda: b"a,b,c\n1,2,3\n" + b",,\n" * 1_000_000, "a.csv", ""),
    "a million blank rows in the middle": read(lambda: b"a,b\n1,2\n" + b"\n" * 1_000_000 + b"3,4\n", "a.csv", ""),
    "names of 30,000 characters": read(lambda: many_names(300, b"x" * 30_000), "a.csv", ""),
    "names of 30,000 blanks": read(lambda: many_names(100, b" " * 30_000 + b"("), "a.csv", ""),
    "names of 30,000 brackets": read(lambda: many_names(100, b"(" * 30_000), "a.csv", ""),
    "cells of 32,000 characters": read(lambda: b"a,b\n" + (b"x" * 32_000 + b",1\n") * 1_000, "a.csv", ""),
    "cells of 32,000 digits": read(lambda: b"a,b\n1,2\n" + (b"9" * 32_000 + b",1\n") * 500, "a.csv", ""),
    "2,000 columns of one name": read(
        lambda: b",".join([b"m"] * 2000) + b"\n" + b",".join([b"1"] * 2000) + b"\n",
        "a.csv",
        "No row with the names of the columns was found",
    ),
    "two columns of one name": read(
        lambda: table("Throw,Stride length,Stride length", "1,0.8,0.9"),
        "a.csv",
        "Column C: the same name stands in column B: “Stride length”",
    ),
    "cut in the middle of a character": refused(
        lambda: "Athlete,v\nZoë,1\nJosé".encode()[:-1], "a.csv", "The file ends in the middle of a character"
    ),
    "two character sets": read(
        lambda: "Athlete,v\nZoë,1\n".encode() + "José,2\n".encode("cp1252"),
        "a.csv",
        "The text is not UTF-8 and was read as Windows-1252",
    ),
    "half a character pair in UTF-8": read(
        lambda: b"Athlete,v\n\xed\xa0\x80,1\n", "a.csv", "The text is not UTF-8 and was read as Windows-1252"
    ),
    "half a character pair in UTF-16": refused(
        lambda: b"\xff\xfe" + "a,b\n1,".encode("utf-16-le") + b"\x00\xd8" + "2\n".encode("utf-16-le"),
        "a.csv",
        "The text cannot be read as UTF-16",
    ),
    "UTF-16 of odd length": refused(
        lambda: "a,b\n1,2\n".encode("utf-16")[:-1], "a.csv", "The text cannot be read as UTF-16"
    ),
    "only a mark of UTF-16": refused(lambda: b"\xff\xfe", "a.csv", "The file is empty"),
    "overlong UTF-8": read(
        lambda: b"Athlete,v\n\xc0\xaf,1\n", "a.csv", "The text is not UTF-8 and was read as Windows-1252"
    ),
    "names the divider and ends": read(lambda: b"sep=;\n", "a.csv", "No row with the names of the columns was found"),
    "an unknown divider": refused(lambda: b"sep=x\na,b\n1,2\n", "a.csv", "No columns were found"),
    "formulas as names of columns": read(lambda: table("=1+1,+2,-3+4,@SUM(A1)", "1,2,3,4"), "a.csv", ""),
    "formulas as values": read(
        lambda: table("Athlete,v", '=HYPERLINK("http://x"),1', "+1+cmd,2", "-2+3,3", "@SUM(1),4", "\t=1,5"),
        "a.csv",
        "",
    ),
    "markup as names and values": read(lambda: table(f"{SCRIPT},v", f"{SCRIPT},1", f"{SCRIPT},2"), "a.csv", ""),
    "markup in what is told": read(
        lambda: table(f"a,{SCRIPT},{SCRIPT}", "1,2,3"), "a.csv", "&lt;script&gt;alert(1)&lt;/script&gt;"
    ),
    "braces of a template": read(
        lambda: table("{0.__class__},{{ 7*7 }},{{ 7*7 }}", "1,2,3"), "a.csv", "in column B: “{{ 7*7 }}”"
    ),
    "signs that turn the reading direction": read(
        lambda: table("Athlete,v\u202e,v\u202e", "\u202eevoT,1,2"),
        "a.csv",
        "Column C: the same name stands in column B",
    ),
    "orders to a terminal": read(
        lambda: b"Athlete,v\n\x1b[31mTove,1\n", "a.csv", "Characters that cannot be printed were left out"
    ),
    "infinity in many spellings": read(
        lambda: table("a,b", "1,2", "3,Infinity", "4,-inf", "5,\u221e", "6,1e400"),
        "a.csv",
        "Row 3, column B: “Infinity” is no number that can be measured",
    ),
    "numbers beyond counting": read(
        lambda: table("a,b", "1,2", "3,-1e308", "4,1e-400"), "a.csv", "“-1e308” is too large to be a measurement"
    ),
    "every divider in every row": read(lambda: table("a,b;c\td|e", "1,2;3\t4|5", "6,7;8\t9|0"), "a.csv", ""),
    "short rows": read(
        lambda: table("a,b,c", "1,2,3", "4,5", "7,8,9"), "a.csv", "Row 3: the row has 2 cells and there are 3 columns"
    ),
}
