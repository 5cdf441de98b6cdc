"""A PNG (ISO/IEC 15948) put together again from the chunks that the picture needs.

Text, EXIF, times, animation, private chunks, and whatever stands behind IEND are not kept.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator

from plans.media_files.errors import BrokenFile, check_size

SIGNATURE = b"\x89PNG\r\n\x1a\n"
KEPT = frozenset(
    {b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"cICP", b"pHYs"}
)


def clean_png(data: bytes) -> bytes:
    """Raises BadMedia. Each chunk's checksum is tested, so a damaged or cut file is refused."""
    kept, seen = [SIGNATURE], list[bytes]()
    for name, body, raw in _chunks(data):
        if not seen:
            if name != b"IHDR" or len(body) != 13:
                raise BrokenFile("picture")
            check_size(*struct.unpack(">II", body[:8]))
        seen.append(name)
        if name in KEPT:
            kept.append(raw)
        elif not name[0] & 0x20:  # a critical chunk that nobody knows
            raise BrokenFile("picture")
    if b"IDAT" not in seen:
        raise BrokenFile("picture")
    return b"".join(kept)


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes, bytes]]:
    """Name, body and the whole chunk, up to IEND. Raises BrokenFile."""
    place = len(SIGNATURE)
    while True:
        if place + 12 > len(data):
            raise BrokenFile("picture")
        length, name = struct.unpack_from(">I4s", data, place)
        end = place + 12 + length
        if end > len(data) or not name.isalpha():
            raise BrokenFile("picture")
        body = data[place + 8 : end - 4]
        if zlib.crc32(name + body) != struct.unpack_from(">I", data, end - 4)[0]:
            raise BrokenFile("picture")
        yield name, body, data[place:end]
        if name == b"IEND":
            return
        place = end
