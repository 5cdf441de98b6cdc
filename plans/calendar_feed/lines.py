"""Content lines of RFC 5545: text escaped (section 3.3.11), folded at 75 octets and ended by CRLF (section 3.1)."""

from __future__ import annotations

import re

LINE_OCTETS = 75
"""RFC 5545, section 3.1: a line should not be longer than 75 octets, its break not counted."""
LINE_BREAK = "\r\n"

BREAKS = re.compile("\r\n|[\r\n\x0b\x0c\x85\u2028\u2029]")
CONTROLS = re.compile(r"[\x00-\x08\x0e-\x1f\x7f]")
LONE_SURROGATES = re.compile("[\ud800-\udfff]")


def escaped(text: str) -> str:
    r"""A TEXT value: backslash, semicolon, comma and line break escaped.

    All that some reader takes for a line break becomes `\n`, else a name could begin a line of its own. Control
    signs are left out (the grammar has no place for them), half a surrogate pair becomes the replacement sign.
    """
    clean = CONTROLS.sub("", LONE_SURROGATES.sub("\ufffd", BREAKS.sub("\n", text)))
    return clean.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def folded(line: str) -> str:
    """One content line as physical lines of at most 75 octets of UTF-8, with CRLF after each.

    A continuation begins with a space, which counts; a sign of several octets is never torn.
    """
    parts: list[str] = []
    start, octets = 0, 0
    for index, sign in enumerate(line):
        width = len(sign.encode())
        if octets + width > LINE_OCTETS:
            parts.append(line[start:index])
            start, octets = index, 1
        octets += width
    return (LINE_BREAK + " ").join([*parts, line[start:]]) + LINE_BREAK
