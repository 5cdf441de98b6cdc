"""Of a picture or video only the picture or the film is kept: no place, no comment, no second file."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from plans.media_files import clean
from tests.plans.media_files.files import (
    PLACE,
    box,
    chunk,
    element,
    exif,
    jpeg,
    large_box,
    mp4,
    png,
    riff,
    segment,
    webm,
    webp,
)

PAGE = b"<!doctype html><script>alert(1)</script>"

WITH_PLACE = {
    "jpeg exif": (jpeg(segment(0xE1, exif())), "image/jpeg"),
    "jpeg exif, other order": (jpeg(segment(0xE1, exif(6, "<"))), "image/jpeg"),
    "jpeg xmp": (jpeg(segment(0xE1, b"http://ns.adobe.com/xap/1.0/\x00" + PLACE)), "image/jpeg"),
    "jpeg iptc": (jpeg(segment(0xED, b"Photoshop 3.0\x00" + PLACE)), "image/jpeg"),
    "jpeg comment": (jpeg(segment(0xFE, PLACE)), "image/jpeg"),
    "jpeg second picture": (jpeg(after=jpeg(segment(0xE1, exif()))), "image/jpeg"),
    "png text": (png(chunk(b"tEXt", b"Place\x00" + PLACE)), "image/png"),
    "png exif": (png(chunk(b"eXIf", exif()[6:])), "image/png"),
    "png behind its end": (png(after=PLACE), "image/png"),
    "webp exif": (webp(riff(b"EXIF", exif())), "image/webp"),
    "webp xmp": (webp(riff(b"XMP ", PLACE)), "image/webp"),
    "webp behind its end": (webp(after=PLACE), "image/webp"),
    "mp4 user data": (mp4(inside=box(b"udta", box(b"\xa9xyz", PLACE))), "video/mp4"),
    "mp4 user data of a track": (mp4(in_track=box(b"udta", PLACE)), "video/mp4"),
    "mp4 metadata": (mp4(inside=box(b"meta", PLACE)), "video/mp4"),
    "mp4 private box": (mp4(box(b"uuid", bytes(16), PLACE)), "video/mp4"),
    "mp4 private box of large form": (mp4(large_box(b"uuid", PLACE)), "video/mp4"),
    "webm tags": (webm(element("1254C367", PLACE)), "video/webm"),
    "webm attachment": (webm(element("1941A469", PLACE)), "video/webm"),
}
WITH_PAGE = {
    "jpeg comment": jpeg(segment(0xFE, PAGE)),
    "jpeg behind its end": jpeg(after=PAGE),
    "png text": png(chunk(b"tEXt", b"x\x00" + PAGE)),
    "png behind its end": png(after=PAGE),
    "webp unknown chunk": webp(riff(b"HTML", PAGE)),
    "webp behind its end": webp(after=PAGE),
    "mp4 filling": mp4(box(b"free", PAGE)),
}


@pytest.mark.parametrize("name", WITH_PLACE)
def test_where_it_was_taken_is_not_kept(name):
    data, content_type = WITH_PLACE[name]
    assert PLACE in data
    cleaned = clean(data)
    assert PLACE not in cleaned.data
    assert cleaned.content_type == content_type


@pytest.mark.parametrize("name", WITH_PAGE)
def test_a_page_that_hides_in_a_picture_is_not_kept(name):
    assert PAGE in WITH_PAGE[name]
    assert b"<script" not in clean(WITH_PAGE[name]).data


@pytest.mark.parametrize(
    "data", [jpeg(), jpeg(segment(0xE1, exif(6))), png(), webp(), mp4(inside=box(b"udta", PLACE)), webm()]
)
def test_cleaning_twice_changes_nothing_more(data):
    once = clean(data).data
    assert clean(once).data == once


@pytest.mark.parametrize("order", [">", "<"])
@pytest.mark.parametrize("way_up", [3, 6, 8])
def test_the_way_up_of_a_jpeg_is_kept(way_up, order):
    """Without it a telephone's picture would lie on its side. Read by Pillow, a reader that is not ours."""
    kept = Image.open(io.BytesIO(clean(jpeg(segment(0xE1, exif(way_up, order)))).data)).getexif()
    assert dict(kept) == {0x0112: way_up}


@pytest.mark.parametrize("data", [jpeg(), png(), jpeg(segment(0xE1, exif(8))), png(chunk(b"tEXt", b"a\x00b"))])
def test_the_picture_itself_is_the_same(data):
    """Every dot, as Pillow decodes it."""
    before, after = (Image.open(io.BytesIO(one)).convert("RGB").tobytes() for one in (data, clean(data).data))
    assert before == after


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("options", [{}, {"progressive": True, "quality": 60}, {"lossless": True}])
def test_pictures_of_another_writer_stay_as_they_are(kind, options):
    """Written by Pillow with EXIF, colour noise of 90 × 70; read back by Pillow."""
    picture = Image.effect_noise((90, 70), 60).convert("RGB")
    exif_data = Image.Exif()
    exif_data[0x010E] = PLACE.decode()
    file = io.BytesIO()
    picture.save(file, kind, exif=exif_data, **options)
    assert PLACE in file.getvalue()
    kept = clean(file.getvalue()).data
    assert PLACE not in kept
    before, after = (Image.open(io.BytesIO(one)) for one in (file.getvalue(), kept))
    assert before.tobytes() == after.tobytes()


def test_a_film_keeps_its_length_and_every_byte_of_its_pictures():
    """Tables of a film point at bytes by their place."""
    data = mp4(inside=box(b"udta", PLACE), film=box(b"mdat", bytes(range(256))))
    kept = clean(data).data
    assert len(kept) == len(data)
    assert kept.endswith(bytes(range(256)))


def test_the_film_behind_tags_stays_in_its_place():
    data = webm(element("1254C367", PLACE))
    kept = clean(data).data
    assert (len(kept), kept.index(b"c" * 32)) == (len(data), data.index(b"c" * 32))
