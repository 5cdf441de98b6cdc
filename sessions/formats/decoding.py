"""Bytes of a text file → text: byte-order mark, UTF-16 without one, strict UTF-8, then Windows-1252.

Detectors that guess from letter statistics call Windows-1252 by other names, so there is no guessing beyond this
order; the answer is shown and a person can choose another from ENCODINGS.
"""

from __future__ import annotations

import codecs
from dataclasses import dataclass
from typing import Final

from sessions.formats.problems import Problem, problem, unreadable

ENCODINGS: Final = {
    "utf-8": "UTF-8",
    "utf-16": "UTF-16",
    "utf-16-le": "UTF-16, low byte first",
    "utf-16-be": "UTF-16, high byte first",
    "utf-32": "UTF-32",
    "cp1252": "Windows-1252 (western Europe)",
    "cp1250": "Windows-1250 (central Europe)",
    "iso8859-15": "ISO 8859-15",
    "mac_roman": "Mac Roman",
    "cp437": "DOS (437)",
    "shift_jis": "Shift JIS",
}
"""What a person may choose: Python's name → what the page calls it."""

# UTF-32's mark begins with UTF-16's and is looked at first.
_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_LOOK_BYTES: Final = 4096
_CONTROL: Final = bytes((*range(1, 9), 11, *range(14, 32), 127))
_MOST_CONTROL_SHARE: Final = 0.002
"""More control characters than this in a text and it is no text; stray ones come from old machines."""


@dataclass(frozen=True, slots=True)
class Decoded:
    """`codec` is what Python must read the bytes with so that the byte-order mark goes; `encoding` is its name."""

    text: str
    encoding: str
    codec: str
    problems: tuple[Problem, ...] = ()


def decode(data: bytes, encoding: str | None = None) -> Decoded:
    """A file's text. Raises UnreadableFile (wrong_encoding, binary, cut_text), ValueError for another choice."""
    if encoding is not None and encoding not in ENCODINGS:
        raise ValueError(f"unknown encoding {encoding!r}")
    name = encoding or _marked(data) or _utf_16_without_mark(data) or _eight_bit(data)
    codec = "utf-8-sig" if name == "utf-8" else name
    try:
        text = data.decode(codec)
    except UnicodeError as error:
        code = "wrong_encoding" if encoding or name.startswith("utf") else "binary"
        raise unreadable(code, encoding=ENCODINGS[name]) from error
    if "\x00" in text:
        raise unreadable("binary")
    problems = [problem("guessed_encoding")] if name == "cp1252" and encoding is None else []
    control = _count_control(text)
    if control > max(3, _MOST_CONTROL_SHARE * len(text)):
        raise unreadable("binary")
    if control:
        problems.append(problem("control_characters"))
    return Decoded(text, name, codec, tuple(problems))


def _count_control(text: str) -> int:
    """Control characters but tab and the ends of lines and pages. In UTF-8 no part of another character looks so."""
    data = text.encode("utf-8", "surrogatepass")
    return len(data) - len(data.translate(None, _CONTROL))


def _marked(data: bytes) -> str | None:
    return next((name for mark, name in _MARKS if data.startswith(mark)), None)


def _utf_16_without_mark(data: bytes) -> str | None:
    """Western text in UTF-16 has a zero in nearly every second byte, and never in the others."""
    start = data[:_LOOK_BYTES]
    half = len(start) // 2
    if half < 2 or b"\x00" not in start:
        return None
    even, odd = start[0::2].count(0), start[1::2].count(0)
    if odd >= 0.6 * half and even == 0:
        return "utf-16-le"
    if even >= 0.6 * half and odd == 0:
        return "utf-16-be"
    return None


def _eight_bit(data: bytes) -> str:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError as error:
        if error.reason == "unexpected end of data" and not data[: error.start].isascii():
            raise unreadable("cut_text") from error  # the characters before it are UTF-8 beyond chance
        return "cp1252"
    return "utf-8"
