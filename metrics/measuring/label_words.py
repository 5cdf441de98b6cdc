"""What a marker's name says: plain words in four languages, anatomical terms, ordinary shortenings, in any order.

`data/landmark_words.csv` holds the words, `data/landmarks.csv` what each landmark is called in them. No naming scheme
of any vendor is built in.
"""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from typing import Final

import numpy as np

from metrics.kinematics.landmarks import KNOWN, SIDES
from metrics.kinematics.vectors import Array

LONGEST_PHRASE: Final = 5  # words
LEAST_SHORTENING: Final = 3  # letters
LONGEST_WORD: Final = 40  # letters; longer ones are no words, and taking them apart would only cost time
# House opinions: how often a name says nothing though it seems to, misses the side, or has a word too many.
NOTHING, WRONG_SIDE, WORD_TOO_MANY, MIDDLE_WITH_SIDE, OTHER_PLACE = 0.04, 0.02, 0.15, 0.3, 0.02

_CAMEL = re.compile(r"(?<=[a-zà-ÿß])(?=[A-ZÀ-Þ])|(?<=[A-Z])(?=[A-Z][a-zà-ÿ]{2})")
_WORD = re.compile(r"[a-z]+\d*|\d+")
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"})


def rows_of(name: str) -> Iterator[dict[str, str]]:
    """Rows of a table in `data/`, without the lines of comment."""
    text = files("metrics.measuring").joinpath("data", name).read_text(encoding="utf-8")
    yield from csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))


def bare_label(label: str) -> str:
    """A label without the prefix before ":" and the space around it."""
    return label.rpartition(":")[2].strip()


def fold(text: str) -> str:
    """Lower case without accents."""
    apart = unicodedata.normalize("NFD", text.lower().replace("ß", "ss"))
    return "".join(c for c in apart if not unicodedata.combining(c))


@dataclass(frozen=True, slots=True)
class Named:
    """One landmark as the tables name it: without side, since both sides are called alike."""

    part: str
    where: str
    usual: float
    plain: str


@cache
def named() -> Mapping[str, Named]:
    """Landmark without side → how it is named."""
    return {
        row["landmark"]: Named(row["part"], row["where"], float(row["usual"]), row["plain"])
        for row in rows_of("landmarks.csv")
    }


def without_side(landmark: str) -> tuple[str, str | None]:
    """Name and side: "R_EL" → "EL", "R"; "HEAD_F" → "HEAD_F", None."""
    side, _, name = landmark.partition("_")
    return (name, side) if side in SIDES else (landmark, None)


Meaning = frozenset[tuple[str, str]]  # of (kind, meaning): ("part", "elbow"), ("where", "outer"), ("side", "R")


@cache
def _phrases() -> Mapping[tuple[str, ...], Meaning]:
    phrases: dict[tuple[str, ...], Meaning] = {}
    parts = {name.part for name in named().values()}
    for row in rows_of("landmark_words.csv"):
        whole, meanings = row["kind"] == "whole", row["meaning"].split()
        said = frozenset((row["kind"] if not whole else "part" if one in parts else "where", one) for one in meanings)
        for phrase in row["words"].split("|"):
            for spelling in {fold(phrase), fold(phrase.translate(_UMLAUTS))}:
                phrases.setdefault(tuple(_WORD.findall(spelling)), said)
    return phrases


@cache
def _words() -> Mapping[str, Meaning]:
    return {phrase[0]: said for phrase, said in _phrases().items() if len(phrase) == 1}


@cache
def _beginnings() -> Mapping[str, Meaning]:
    """Beginnings of words that all mean the same: "ank" is ankle, "cal" may be calcaneus or calf and is not here."""
    found: dict[str, set[Meaning]] = {}
    for word, said in _words().items():
        for length in range(LEAST_SHORTENING, len(word) if said else 0):
            found.setdefault(word[:length], set()).add(said)
    return {beginning: meanings.pop() for beginning, meanings in found.items() if len(meanings) == 1}


@lru_cache(4096)
def _taken_apart(word: str) -> tuple[Meaning, ...] | None:
    """A word written of several ("RELBOUT", "Aussenknöchel") in the fewest known ones; None when it is not."""
    if len(word) > LONGEST_WORD:
        return None
    best: list[tuple[float, tuple[Meaning, ...]] | None] = [(0.0, ())] + [None] * len(word)
    for end in range(1, len(word) + 1):
        for start in range(end):
            before, piece = best[start], word[start:end]
            if before is None or (len(piece) == 1 and 0 < start < len(word) - 1):
                continue
            said, cost = _words().get(piece), 1.0
            if said is None:
                said, cost = _beginnings().get(piece), 1.5
            reached = best[end]
            if said is not None and (reached is None or before[0] + cost < reached[0]):
                best[end] = (before[0] + cost, (*before[1], said))
    return best[-1][1] if best[-1] else None


@lru_cache(4096)
def meanings_of(label: str) -> tuple[Meaning, int]:
    """All that a label's words mean, and how many of its words are not known."""
    words = _WORD.findall(fold(_CAMEL.sub(" ", bare_label(label))))
    said: set[tuple[str, str]] = set()
    unknown, at = 0, 0
    while at < len(words):
        for length in range(min(LONGEST_PHRASE, len(words) - at), 0, -1):
            if (found := _phrases().get(tuple(words[at : at + length]))) is not None:
                said |= found
                break
        else:
            length = 1
            word = words[at]
            pieces = _taken_apart(word) or _taken_apart(word.rstrip("0123456789"))
            said |= frozenset().union(*pieces) if pieces else frozenset()
            unknown += not pieces
        at += length
    return frozenset(said), unknown


def name_chances(label: str) -> Array:
    """How likely each of KNOWN, and last "none of them", is meant by a label: shape (len(KNOWN) + 1,), sum 1.

    All alike when the name says nothing.
    """
    said, unknown = meanings_of(label)
    parts, places, sides, late = (_of_kind(said, kind) for kind in ("part", "where", "side", "late_side"))
    if "elsewhere" in parts:
        return _nothing(elsewhere=True)
    if not parts and "back" in places:
        parts = {"midback"}
    if not parts:
        return _nothing(elsewhere=False)
    parts = parts - {"foot"} or {"toe"}
    sides = sides or late
    side = sides.pop() if len(sides) == 1 else None
    weights = np.array([_weight(landmark, parts, places, side) for landmark in KNOWN])
    lost = NOTHING + WORD_TOO_MANY * min(unknown, 4)
    known = (1 - lost) * weights / weights.sum() if weights.sum() else weights
    chances = np.append(known, lost) + NOTHING / (len(KNOWN) + 1)
    return chances / chances.sum()


def _of_kind(said: Meaning, wanted: str) -> set[str]:
    return {meaning for kind, meaning in said if kind == wanted}


def _nothing(*, elsewhere: bool) -> Array:
    """Chances of a name that says nothing, or that names a place of the body where no landmark is."""
    chances = np.full(len(KNOWN) + 1, 1 / (len(KNOWN) + 1))
    if elsewhere:
        chances[-1] = 1.0
    return chances / chances.sum()


def _weight(landmark: str, parts: set[str], places: set[str], side: str | None) -> float:
    """How well a landmark fits what was said; 0 when its part was not named."""
    name, own_side = without_side(landmark)
    mine = named()[name]
    if mine.part not in parts:
        return 0.0
    siblings = {other.where for other in named().values() if other.part == mine.part} - {""}
    said = places & siblings
    weight = mine.usual if not said else 1.0 if mine.where in said else OTHER_PLACE
    if side is None:
        return weight if own_side is None else weight / 2
    return weight * (MIDDLE_WITH_SIDE if own_side is None else 1.0 if own_side == side else WRONG_SIDE)
