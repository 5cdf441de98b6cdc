"""Which of the kinds that are taken a file is, told by its first bytes and never by its name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from plans.media_files.errors import BadMedia
from plans.media_files.jpeg import clean_jpeg
from plans.media_files.mp4 import clean_mp4
from plans.media_files.png import clean_png
from plans.media_files.webm import check_webm
from plans.media_files.webp import clean_webp

__all__ = ["BadMedia", "Cleaned", "clean"]

NOT_TAKEN = (
    (b"<svg", "An SVG can carry programs and is not taken. Save the drawing as a PNG."),
    (b"<?xml", "An SVG can carry programs and is not taken. Save the drawing as a PNG."),
    (b"GIF8", "A GIF is not taken. Send an MP4, or a PNG of one moment."),
    (b"%PDF", "A PDF is not taken. Send a picture of the page."),
)
HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"avif", b"avis")
ELSE = "This is no JPEG, PNG or WebP picture and no MP4 or WebM video, whatever its name says. Send one of these."


@dataclass(frozen=True, slots=True)
class Cleaned:
    """`kind`: "picture" or "video"; `content_type` of the bytes as they are kept."""

    kind: str
    content_type: str
    data: bytes


def clean(data: bytes) -> Cleaned:
    """What may be kept of a file. Raises BadMedia with a sentence."""
    head = data[:16]
    for starts, kind, content_type, work in KINDS:
        if starts(head):
            return Cleaned(kind, content_type, work(data))
    raise BadMedia(_why_not(data[:512]))


def _is_jpeg(head: bytes) -> bool:
    return head.startswith(b"\xff\xd8\xff")


def _is_png(head: bytes) -> bool:
    return head.startswith(b"\x89PNG\r\n\x1a\n")


def _is_webp(head: bytes) -> bool:
    return head[:4] == b"RIFF" and head[8:12] == b"WEBP"


def _is_mp4(head: bytes) -> bool:
    return head[4:8] == b"ftyp" and head[8:12] not in (*HEIC_BRANDS, b"qt  ")


def _is_webm(head: bytes) -> bool:
    return head.startswith(b"\x1a\x45\xdf\xa3")


def _why_not(head: bytes) -> str:
    if head[4:8] == b"ftyp":
        if head[8:12] == b"qt  ":
            return "This is a QuickTime video, which not every browser plays. Export it as MP4, then send that."
        return "This picture is in a format that not every browser shows. Save it as JPEG, then send that."
    text = head.removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    return next((why for start, why in NOT_TAKEN if text.startswith(start.lower())), ELSE)


KINDS: tuple[tuple[Callable[[bytes], bool], str, str, Callable[[bytes], bytes]], ...] = (
    (_is_jpeg, "picture", "image/jpeg", clean_jpeg),
    (_is_png, "picture", "image/png", clean_png),
    (_is_webp, "picture", "image/webp", clean_webp),
    (_is_mp4, "video", "video/mp4", clean_mp4),
    (_is_webm, "video", "video/webm", check_webm),
)
