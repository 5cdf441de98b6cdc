"""An MP4 (ISO/IEC 14496-12) whose boxes for other things than the film are emptied: places, names, thumbnails.

Boxes keep their length, so that what the tables of the film point at stays where it is.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

from plans.media_files.errors import BrokenFile

EMPTIED = frozenset({b"udta", b"meta", b"uuid", b"free", b"skip"})
"""User data, metadata, private boxes and filling: what no player needs."""
OPENED = frozenset({b"moov", b"trak"})
NEEDED = frozenset({b"ftyp", b"moov", b"mdat"})
EMPTY = b"free"
LARGE, TO_THE_END = 1, 0


def clean_mp4(data: bytes) -> bytes:
    """Raises BadMedia: a cut file, one that is no chain of boxes to its very end, or one without a film."""
    film = bytearray(data)
    there = {name for name, *_ in _boxes(data, 0, len(data))}
    if not there >= NEEDED:
        raise BrokenFile("video")
    _empty(film, data, 0, len(data))
    return bytes(film)


def _empty(film: bytearray, data: bytes, start: int, end: int) -> None:
    for name, place, body, stop in _boxes(data, start, end):
        if name in EMPTIED:
            film[place : place + 4] = EMPTY
            film[body:stop] = bytes(stop - body)
        elif name in OPENED:
            _empty(film, data, body, stop)


def _boxes(data: bytes, start: int, end: int) -> Iterator[tuple[bytes, int, int, int]]:
    """Name, where the name stands, where the body begins, where the box ends. Raises BrokenFile."""
    while start < end:
        if start + 8 > end:
            raise BrokenFile("video")
        length, name = struct.unpack_from(">I4s", data, start)
        body = start + 8
        if length == LARGE:
            if start + 16 > end:
                raise BrokenFile("video")
            (length,) = struct.unpack_from(">Q", data, body)
            body = start + 16
        stop = end if length == TO_THE_END else start + length
        if not body <= stop <= end:
            raise BrokenFile("video")
        yield name, start + 4, body, stop
        start = stop
