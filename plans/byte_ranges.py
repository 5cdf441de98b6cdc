"""One range of bytes of a file, as a browser asks for it to step in a video (RFC 9110, section 14)."""

from __future__ import annotations

import re

ONE_RANGE = re.compile(r"bytes=(\d{0,18})-(\d{0,18})")


class NotSatisfiable(Exception):
    """The range lies behind the file's end."""


def byte_range(header: str, size: int) -> range | None:
    """The bytes that are asked for; None for the whole file.

    A header that is not understood, or asks for several ranges, is passed over, as the standard allows. Raises
    NotSatisfiable.
    """
    match = ONE_RANGE.fullmatch(header.strip())
    if match is None or match[0].strip() == "bytes=-":
        return None
    first, last = match[1], match[2]
    if not first:  # the last so many bytes
        count = int(last)
        if not count or not size:
            raise NotSatisfiable
        return range(max(size - count, 0), size)
    if last and int(last) < int(first):
        return None
    if int(first) >= size:
        raise NotSatisfiable
    return range(int(first), min(int(last) + 1, size) if last else size)
