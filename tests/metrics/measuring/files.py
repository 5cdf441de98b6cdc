"""Recordings as a capture room would export them, made once."""

from __future__ import annotations

from functools import cache

from tests import synthesis

HEIGHT_M, MASS_KG = 1.86, 88.0


def delivery() -> synthesis.Delivery:
    return synthesis.Delivery(synthesis.Body(height=HEIGHT_M, mass=MASS_KG), synthesis.style_of("college"))


@cache
def made(
    side: str = "right", *, rate_hz: float = 240.0, throws: int = 1, plates: bool = True, ball: bool = False
) -> synthesis.Recording:
    room = synthesis.Room(rate_hz=rate_hz, unit="mm", side=side, plates=plates, ball=ball)
    return synthesis.record([delivery()] * throws, room)


@cache
def throw_file(side: str = "right", *, rate_hz: float = 240.0, throws: int = 1, plates: bool = True) -> bytes:
    return synthesis.c3d_bytes(made(side, rate_hz=rate_hz, throws=throws, plates=plates))
