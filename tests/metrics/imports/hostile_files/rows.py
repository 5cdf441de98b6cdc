"""One row of the table of hostile files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum


class Fate(Enum):
    TURNED_AWAY = "not taken at the door: nothing of it is kept"
    REFUSED = "kept as it came, with the sentence that says why it was not read"
    READ = "read; what is odd in it is told, and a person decides"


@dataclass(frozen=True, slots=True)
class Hostile:
    """`sentence` must stand on the page; "" where nothing odd is to be told. `maker` gives the bytes."""

    maker: Callable[[], bytes]
    filename: str
    sentence: str
    fate: Fate = Fate.REFUSED


def refused(maker: Callable[[], bytes], filename: str, sentence: str) -> Hostile:
    return Hostile(maker, filename, sentence)


def read(maker: Callable[[], bytes], filename: str, sentence: str) -> Hostile:
    return Hostile(maker, filename, sentence, Fate.READ)


def turned_away(maker: Callable[[], bytes], filename: str, sentence: str) -> Hostile:
    return Hostile(maker, filename, sentence, Fate.TURNED_AWAY)
