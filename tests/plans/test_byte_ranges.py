"""One range of bytes, after RFC 9110 section 14; the examples of section 14.1.2 for a file of 10,000 bytes."""

from __future__ import annotations

import pytest

from plans.byte_ranges import NotSatisfiable, byte_range


@pytest.mark.parametrize(
    ("header", "bytes_asked"),
    [
        ("bytes=0-499", range(0, 500)),
        ("bytes=500-999", range(500, 1000)),
        ("bytes=-500", range(9500, 10000)),
        ("bytes=9500-", range(9500, 10000)),
        ("bytes=0-", range(0, 10000)),
        ("bytes=0-0", range(0, 1)),
        ("bytes=9999-20000", range(9999, 10000)),
        ("bytes=-20000", range(0, 10000)),
    ],
)
def test_one_range(header, bytes_asked):
    assert byte_range(header, 10_000) == bytes_asked


@pytest.mark.parametrize(
    "header",
    ["", "bytes=", "bytes=-", "bytes=0-0,-1", "bytes=500-499", "lines=0-4", "bytes=a-b", "bytes=0-" + "9" * 40],
)
def test_what_is_not_understood_gives_the_whole_file(header):
    assert byte_range(header, 10_000) is None


@pytest.mark.parametrize("header", ["bytes=10000-", "bytes=20000-30000", "bytes=-0"])
def test_what_lies_behind_the_end_is_said(header):
    with pytest.raises(NotSatisfiable):
        byte_range(header, 10_000)
