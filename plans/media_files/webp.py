"""A WebP (RFC 9649) put together again from the chunks that the picture needs: without EXIF, XMP and the unknown."""

from __future__ import annotations

import struct
from collections.abc import Iterator

from plans.media_files.errors import BrokenFile, check_size

KEPT = frozenset({b"VP8X", b"VP8 ", b"VP8L", b"ALPH", b"ANIM", b"ANMF", b"ICCP"})
PICTURES = frozenset({b"VP8 ", b"VP8L", b"ANMF"})
SAYS_EXIF, SAYS_XMP = 0x08, 0x04
"""Bits of the first byte of VP8X."""


def clean_webp(data: bytes) -> bytes:
    """Raises BadMedia."""
    kept: list[bytes] = []
    has_size = has_picture = False
    for name, body in _chunks(data):
        if name not in KEPT:
            continue
        if not has_size:
            check_size(*_size(name, body))
            has_size = True
        has_picture = has_picture or name in PICTURES
        if name == b"VP8X":
            body = bytes([body[0] & ~(SAYS_EXIF | SAYS_XMP)]) + body[1:]
        kept.append(name + struct.pack("<I", len(body)) + body + b"\x00" * (len(body) % 2))
    if not has_picture:
        raise BrokenFile("picture")
    whole = b"WEBP" + b"".join(kept)
    return b"RIFF" + struct.pack("<I", len(whole)) + whole


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    (size,) = struct.unpack_from("<I", data, 4)
    end = 8 + size
    if end > len(data):
        raise BrokenFile("picture")
    place = 12
    while place + 8 <= end:
        name, length = struct.unpack_from("<4sI", data, place)
        if place + 8 + length > end:
            raise BrokenFile("picture")
        yield name, data[place + 8 : place + 8 + length]
        place += 8 + length + length % 2


def _size(name: bytes, body: bytes) -> tuple[int, int]:
    """Width and height, from the first chunk that says them. Raises BrokenFile for any other chunk."""
    if name == b"VP8X" and len(body) >= 10:
        return int.from_bytes(body[4:7], "little") + 1, int.from_bytes(body[7:10], "little") + 1
    if name == b"VP8 " and len(body) >= 10 and body[3:6] == b"\x9d\x01\x2a":
        width, height = struct.unpack_from("<HH", body, 6)
        return width & 0x3FFF, height & 0x3FFF
    if name == b"VP8L" and len(body) >= 5 and body[0] == 0x2F:
        bits = int.from_bytes(body[1:5], "little")
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    raise BrokenFile("picture")
