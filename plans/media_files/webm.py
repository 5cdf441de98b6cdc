"""A WebM (RFC 8794, RFC 9559) is taken when its outermost elements fit the file; its tags are emptied.

Elements keep their length, so that what its indexes point at stays where it is.
"""

from __future__ import annotations

from collections.abc import Iterator

from plans.media_files.errors import BadMedia, BrokenFile

EBML, SEGMENT, CLUSTER, TRACKS = 0x1A45DFA3, 0x18538067, 0x1F43B675, 0x1654AE6B
TAGS, ATTACHMENTS = 0x1254C367, 0x1941A469
DOCTYPE = b"\x42\x82"
VOID = b"\xec"
LONGEST_ID = 4


def check_webm(data: bytes) -> bytes:
    """Raises BadMedia: no WebM, cut, or without a film."""
    outer = list(_elements(data, 0, len(data)))
    if [name for name, *_ in outer] != [EBML, SEGMENT]:
        raise BrokenFile("video")
    (_, _, head, head_end), (_, _, body, end) = outer
    if not _is_webm(data[head:head_end]):
        raise BadMedia("This is a Matroska video that is no WebM. Export it as WebM or MP4, then send that.")
    film, there = bytearray(data), set()
    for name, start, _, stop in _elements(data, body, end):
        there.add(name)
        if name in (TAGS, ATTACHMENTS):
            film[start:stop] = _void(stop - start)
    if not there >= {TRACKS, CLUSTER}:
        raise BrokenFile("video")
    return bytes(film)


def _is_webm(head: bytes) -> bool:
    place = head.find(DOCTYPE)
    return place >= 0 and head[place + 3 : place + 7] == b"webm"


def _void(length: int) -> bytes:
    """An element of so many bytes that says nothing: its name, eight bytes of length, zeros."""
    size = length - 9
    if size < 0:
        raise BrokenFile("video")
    return VOID + (size | 1 << 56).to_bytes(8, "big") + bytes(size)


def _elements(data: bytes, start: int, end: int) -> Iterator[tuple[int, int, int, int]]:
    """Name, where it begins, where its body begins, where it ends. Raises BrokenFile.

    A segment or cluster of unknown length, as recorders write while they run, reaches to the end.
    """
    while start < end:
        name_end = start + _width(data, start, end)
        if name_end - start > LONGEST_ID:
            raise BrokenFile("video")
        name = int.from_bytes(data[start:name_end], "big")
        width = _width(data, name_end, end)
        size = int.from_bytes(data[name_end : name_end + width], "big") & (1 << 7 * width) - 1
        body = name_end + width
        is_unknown = size == (1 << 7 * width) - 1
        if is_unknown and name not in (SEGMENT, CLUSTER):
            raise BrokenFile("video")
        stop = end if is_unknown else body + size
        if stop > end:
            raise BrokenFile("video")
        yield name, start, body, stop
        start = stop


def _width(data: bytes, place: int, end: int) -> int:
    """Bytes of the number that begins here, told by the leading zeros of its first byte."""
    first = data[place] if place < end else 0
    width = 9 - first.bit_length()
    if not first or place + width > end:
        raise BrokenFile("video")
    return width
