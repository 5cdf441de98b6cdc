"""What is no picture or video, or no whole one, is refused in words."""

from __future__ import annotations

import struct

import pytest

from plans.media_files import BadMedia, clean
from plans.media_files.errors import MOST_ON_A_SIDE, MOST_PIXELS
from tests.plans.media_files.files import box, chunk, element, jpeg, mp4, png, riff, segment, webm, webp

WHOLE = {"jpeg": jpeg(), "png": png(), "webp": webp(), "mp4": mp4(), "webm": webm()}


def refused(data: bytes) -> str:
    with pytest.raises(BadMedia) as error:
        clean(data)
    return str(error.value)


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"<!doctype html><script>alert(1)</script>", "whatever its name says"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "SVG"),
        (b"\xef\xbb\xbf  <?xml version='1.0'?><svg/>", "SVG"),
        (b"GIF89a" + bytes(40), "GIF"),
        (b"%PDF-1.7", "PDF"),
        (box(b"ftyp", b"heic", bytes(4)), "Save it as JPEG"),
        (box(b"ftyp", b"qt  ", bytes(4)), "QuickTime"),
        (b"RIFF\x10\x00\x00\x00WAVEfmt ", "whatever its name says"),
        (webm(doctype=b"matroska"), "Matroska"),
        (b"x", "whatever its name says"),
    ],
)
def test_another_kind_of_file_is_named(data, word):
    assert word in refused(data)


@pytest.mark.parametrize("kind", WHOLE)
def test_a_cut_file_is_refused_wherever_it_was_cut(kind):
    whole = WHOLE[kind]
    for length in range(16, len(whole)):
        assert "damaged or not complete" in refused(whole[:length]), length


@pytest.mark.parametrize("kind", WHOLE)
def test_no_byte_that_is_changed_brings_another_error(kind):
    """Whatever stands in a file: it is taken or refused in words, never a crash."""
    whole, told = WHOLE[kind], []
    for place in range(len(whole)):
        for value in (0x00, 0x7F, 0xFF):
            try:
                clean(whole[:place] + bytes([value]) + whole[place + 1 :])
            except BadMedia as error:
                told.append(str(error))
    assert told
    assert all(sentence.endswith(".") for sentence in told)


@pytest.mark.parametrize("make", [jpeg, png, webp])
def test_too_many_dots_are_refused_before_anybody_decodes_them(make):
    side = 16_000
    assert side <= MOST_ON_A_SIDE
    assert side * side > MOST_PIXELS
    assert "16,000 × 16,000 pixels" in refused(make(width=side, height=side))


def test_one_very_long_side_is_too_long():
    assert "pixels" in refused(png(width=60_000, height=1))


@pytest.mark.parametrize("make", [jpeg, png])
def test_a_picture_without_size_is_damaged(make):
    assert "damaged" in refused(make(width=0))


def test_a_damaged_chunk_of_a_png_is_seen_by_its_checksum():
    whole = bytearray(png())
    whole[-20] ^= 1
    assert "damaged" in refused(bytes(whole))


def test_a_png_with_a_part_that_nobody_knows_is_refused():
    assert "damaged" in refused(png(chunk(b"ABCD", b"")))


def test_a_jpeg_without_a_picture_is_refused():
    assert "damaged" in refused(b"\xff\xd8" + segment(0xFE, b"only words") + b"\xff\xd9")


def test_a_webp_without_a_picture_is_refused():
    body = b"WEBP" + riff(b"VP8X", bytes(10))
    assert "damaged" in refused(b"RIFF" + struct.pack("<I", len(body)) + body)


def test_a_video_must_be_boxes_to_its_very_end():
    """What would hide behind the film as a second file is not taken."""
    assert "damaged" in refused(mp4() + b"<!doctype html>")


@pytest.mark.parametrize("missing", [b"moov", b"mdat"])
def test_a_video_without_a_film_is_refused(missing):
    assert "damaged" in refused(mp4().replace(missing, b"wide"))


def test_a_webm_that_was_recorded_live_is_taken():
    """Its segment and cluster have no known length."""
    live = webm(unknown=True)
    assert clean(live).data == live


def test_a_webm_without_a_film_is_refused():
    assert "damaged" in refused(webm().replace(bytes.fromhex("1F43B675"), bytes.fromhex("1C53BB6B")))
    assert "damaged" in refused(element("1A45DFA3", b"\x42\x82\x84webm"))
