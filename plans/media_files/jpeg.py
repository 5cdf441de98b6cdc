"""A JPEG (ITU-T T.81) put together again from the segments that the picture needs.

Kept: tables, frame, scans, JFIF, the colour profile, Adobe's colour transform, and of EXIF the way up alone. All other
application segments (places, dates, thumbnails), comments, and whatever stands behind the end of the picture are not.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

from plans.media_files.errors import BrokenFile, check_size

SOI, EOI, SOS, TEM = 0xD8, 0xD9, 0xDA, 0x01
RESTARTS = range(0xD0, 0xD8)
APPLICATIONS = range(0xE0, 0xF0)
COMMENT = 0xFE
FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
"""SOF markers, but for DHT, JPG and DAC among them."""
EXIF = b"Exif\x00\x00"
ORIENTATION = 0x0112
SHORT = 3
UPRIGHT = 1


def clean_jpeg(data: bytes) -> bytes:
    """The same picture without what surrounds it. Raises BadMedia."""
    kept, way_up, has_frame = [], UPRIGHT, False
    for marker, body, scan in _segments(data):
        if marker in FRAMES:
            if len(body) < 6:
                raise BrokenFile("picture")
            height, width = struct.unpack(">HH", body[1:5])
            check_size(width, height)
            has_frame = True
        if marker == 0xE1 and body.startswith(EXIF):
            way_up = _orientation(body[len(EXIF) :])
        if _is_kept(marker, body):
            kept.append(_segment(marker, body) + scan)
    if not has_frame:
        raise BrokenFile("picture")
    upright = [] if way_up == UPRIGHT else [_segment(0xE1, EXIF + _exif_of(way_up))]
    return b"".join([bytes([0xFF, SOI]), *upright, *kept, bytes([0xFF, EOI])])


def _segments(data: bytes) -> Iterator[tuple[int, bytes, bytes]]:
    """Marker, body, and behind a start of scan its coded data; up to the end of the picture."""
    place, has_scan = 2, False
    while True:
        if data[place : place + 1] != b"\xff":
            raise BrokenFile("picture")
        while data[place + 1 : place + 2] == b"\xff":  # fill bytes
            place += 1
        marker = data[place + 1] if place + 1 < len(data) else 0
        if marker == EOI and has_scan:
            return
        if marker in (0, SOI, EOI, TEM) or marker in RESTARTS or place + 4 > len(data):
            raise BrokenFile("picture")
        (length,) = struct.unpack(">H", data[place + 2 : place + 4])
        start, end = place + 4, place + 2 + length
        if length < 2 or end > len(data):
            raise BrokenFile("picture")
        place = _end_of_scan(data, end) if marker == SOS else end
        has_scan = has_scan or marker == SOS
        yield marker, data[start:end], data[end:place]


def _end_of_scan(data: bytes, place: int) -> int:
    """Where the next marker stands that is no stuffed zero and no restart. Raises BrokenFile without one."""
    while True:
        place = data.find(b"\xff", place)
        if place < 0 or place + 1 >= len(data):
            raise BrokenFile("picture")
        following = data[place + 1]
        if following == 0xFF:
            place += 1
        elif following == 0 or following in RESTARTS:
            place += 2
        else:
            return place


def _is_kept(marker: int, body: bytes) -> bool:
    if marker == COMMENT:
        return False
    if marker in APPLICATIONS:
        starts = {0xE0: b"JFIF\x00", 0xE2: b"ICC_PROFILE\x00", 0xEE: b"Adobe"}
        return marker in starts and body.startswith(starts[marker])
    return True


def _segment(marker: int, body: bytes) -> bytes:
    return bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body


def _orientation(tiff: bytes) -> int:
    """Which way up, 1 to 8 (EXIF 2.32, tag 274); upright when the EXIF says nothing that can be read."""
    order = {b"II": "<", b"MM": ">"}.get(tiff[:2])
    try:
        if order is None:
            return UPRIGHT
        (first,) = struct.unpack_from(f"{order}I", tiff, 4)
        (count,) = struct.unpack_from(f"{order}H", tiff, first)
        for number in range(count):
            tag, kind, _, value = struct.unpack_from(f"{order}HHIH", tiff, first + 2 + 12 * number)
            if (tag, kind) == (ORIENTATION, SHORT):
                return value if 1 <= value <= 8 else UPRIGHT
    except struct.error:
        pass
    return UPRIGHT


def _exif_of(way_up: int) -> bytes:
    """The least EXIF: one directory with one entry."""
    entry = struct.pack(">HHIHH", ORIENTATION, SHORT, 1, way_up, 0)
    return b"MM\x00\x2a" + struct.pack(">IH", 8, 1) + entry + struct.pack(">I", 0)
