"""Small pictures and videos, made part by part as their standards say; what hides in them is the tests' own."""

from __future__ import annotations

import struct
import zlib

PLACE = b"41.8781 N 87.6298 W"
"""What must never be kept."""


# ---- JPEG (ITU-T T.81) ----------------------------------------------------------------------------------


def segment(marker: int, body: bytes) -> bytes:
    return bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body


def exif(way_up: int = 1, order: str = ">") -> bytes:
    """Orientation and a pointer to a directory of the place, as EXIF 2.32 has them."""
    mark = b"MM" if order == ">" else b"II"
    entries = struct.pack(f"{order}HHIHH", 0x0112, 3, 1, way_up, 0) + struct.pack(f"{order}HHII", 0x8825, 4, 1, 50)
    directory = struct.pack(f"{order}H", 2) + entries + struct.pack(f"{order}I", 0)
    return b"Exif\x00\x00" + mark + struct.pack(f"{order}HI", 42, 8) + directory + PLACE


def jpeg(*between: bytes, width: int = 8, height: int = 8, after: bytes = b"") -> bytes:
    """Grey, 8 × 8; `between`: segments behind JFIF."""
    quantization = segment(0xDB, bytes([0]) + bytes([1]) * 64)
    frame = segment(0xC0, struct.pack(">BHHB", 8, height, width, 1) + bytes([1, 0x11, 0]))
    # One code each: the difference 0 and the end of a block are both the single bit 0.
    tables = [segment(0xC4, bytes([table, 1, *[0] * 15, 0])) for table in (0x00, 0x10)]
    scan = segment(0xDA, bytes([1, 1, 0, 0, 63, 0])) + b"\x3f"
    jfif = segment(0xE0, b"JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x00\x00")
    return b"".join([b"\xff\xd8", jfif, *between, quantization, frame, *tables, scan, b"\xff\xd9", after])


# ---- PNG (ISO/IEC 15948) --------------------------------------------------------------------------------


def chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png(*between: bytes, width: int = 2, height: int = 2, after: bytes = b"") -> bytes:
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    rows = chunk(b"IDAT", zlib.compress((b"\x00" + b"\x80" * 2) * 2))
    return b"".join([b"\x89PNG\r\n\x1a\n", head, *between, rows, chunk(b"IEND", b""), after])


# ---- WebP (RFC 9649) ------------------------------------------------------------------------------------


def riff(name: bytes, body: bytes) -> bytes:
    return name + struct.pack("<I", len(body)) + body + b"\x00" * (len(body) % 2)


ONE_GREY_DOT = bytes.fromhex("2f00000010071011118888fe0700")
"""VP8L of one dot."""


def webp(*behind: bytes, width: int = 1, height: int = 1, after: bytes = b"") -> bytes:
    size = (width - 1).to_bytes(3, "little") + (height - 1).to_bytes(3, "little")
    whole = b"WEBP" + riff(b"VP8X", bytes([0x0C, 0, 0, 0]) + size) + riff(b"VP8L", ONE_GREY_DOT) + b"".join(behind)
    return b"RIFF" + struct.pack("<I", len(whole)) + whole + after


# ---- MP4 (ISO/IEC 14496-12) -----------------------------------------------------------------------------


def box(name: bytes, *bodies: bytes) -> bytes:
    body = b"".join(bodies)
    return struct.pack(">I", 8 + len(body)) + name + body


def large_box(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I4sQ", 1, name, 16 + len(body)) + body


def mp4(
    *between: bytes, brand: bytes = b"isom", inside: bytes = b"", in_track: bytes = b"", film: bytes = b""
) -> bytes:
    head = box(b"ftyp", brand, bytes(4), b"isommp42")
    track = box(b"trak", box(b"tkhd", bytes(84)), in_track)
    return b"".join(
        [head, *between, box(b"moov", box(b"mvhd", bytes(100)), track, inside), film or box(b"mdat", b"f" * 64)]
    )


# ---- WebM (RFC 8794, RFC 9559) --------------------------------------------------------------------------


def element(name: str, body: bytes, *, unknown: bool = False) -> bytes:
    size = b"\x01" + b"\xff" * 7 if unknown else (len(body) | 1 << 56).to_bytes(8, "big")
    return bytes.fromhex(name) + size + body


def webm(*between: bytes, doctype: bytes = b"webm", unknown: bool = False) -> bytes:
    head = element("1A45DFA3", bytes.fromhex("4282") + bytes([0x80 | len(doctype)]) + doctype)
    tracks, cluster = element("1654AE6B", bytes(12)), element("1F43B675", b"c" * 32, unknown=unknown)
    return head + element("18538067", b"".join([tracks, *between, cluster]), unknown=unknown)
