"""What can be wrong with a picture or video, in the words of the page."""

from __future__ import annotations

MOST_PIXELS = 50_000_000
"""Width × height: 200 MB once it is decoded, what a telephone still can do. House default."""
MOST_ON_A_SIDE = 16_383
"""Pixels; the most that a WebP can have, and more than any screen shows."""


class BadMedia(Exception):
    """The message is the sentence for the person who sent the file."""


class BrokenFile(BadMedia):
    def __init__(self, what: str) -> None:
        super().__init__(f"This {what} is damaged or not complete. Save or export it again, then send it again.")


def check_size(width: int, height: int) -> None:
    """Raises BadMedia for a picture without size, or too large once it is decoded."""
    if not width or not height:
        raise BrokenFile("picture")
    if max(width, height) > MOST_ON_A_SIDE or width * height > MOST_PIXELS:
        raise BadMedia(
            f"The picture has {width:,} × {height:,} pixels. {MOST_PIXELS // 1_000_000} million are the most. "
            "Make it smaller, then send it again."
        )
