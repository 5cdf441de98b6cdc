"""German, Spanish and French headers in English words, so that one vocabulary reads them all.

`languages.csv` lists the words (common practice, no published source). German compounds are taken apart:
"Beckenrotationsgeschwindigkeit" is pelvis, rotation, velocity. English words stay as they are.
"""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

LONGEST_PHRASE = 4
# Shorter parts occur by chance inside words of any language.
LEAST_PART, LEAST_COMPOUND = 3, 7
# Longer words are no words; taking them apart would only cost time.
MOST_COMPOUND = 60
WORDS_REMEMBERED = 4096
# Letters that German puts between the parts of a compound.
_LINKS = ("", "s", "es", "n", "en")
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue"})
_WORD = re.compile(r"[^\W_]+|[^\w\s]")


@dataclass(frozen=True)
class _Dictionary:
    """Folded words to English; `silent` are articles and the like; `parts` build German compounds."""

    phrases: Mapping[tuple[str, ...], str]
    silent: frozenset[str]
    parts: Mapping[str, str]


def fold(text: str) -> str:
    """Lower case without accents: "Größe" → "grosse". Other signs stay, also those of units."""
    apart = unicodedata.normalize("NFD", text.lower().replace("ß", "ss"))
    return unicodedata.normalize("NFC", "".join(c for c in apart if not unicodedata.combining(c)))


@cache
def _dictionary() -> _Dictionary:
    phrases: dict[tuple[str, ...], str] = {}
    silent: set[str] = set()
    parts: dict[str, str] = {}
    text = files("metrics.importing").joinpath("languages.csv").read_text(encoding="utf-8")
    for row in csv.DictReader(text.splitlines()):
        for phrase in row["phrases"].split("|"):
            for spelling in {fold(phrase), fold(phrase.translate(_UMLAUTS))}:
                if not row["english"]:
                    silent.add(spelling)
                    continue
                phrases.setdefault(tuple(spelling.split()), row["english"])
                if row["language"] == "de" and len(spelling) >= LEAST_PART:
                    parts.setdefault(spelling, row["english"])
    return _Dictionary(phrases, frozenset(silent), parts)


@lru_cache(WORDS_REMEMBERED)
def english_words(words: tuple[str, ...]) -> tuple[str, ...]:
    """Words that are folded already, with every one that is known put into English; the longest phrase first.

    Articles and the like are left out, so that "contacto del pie" and "contacto pie" are one phrase.
    """
    dictionary = _dictionary()
    said = [word for word in words if word not in dictionary.silent]
    found: list[str] = []
    at = 0
    while at < len(said):
        longest = min(LONGEST_PHRASE, len(said) - at)
        length = next((n for n in range(longest, 0, -1) if tuple(said[at : at + n]) in dictionary.phrases), 0)
        english = dictionary.phrases[tuple(said[at : at + length])] if length else _compound(said[at])
        found += english.split() if english else [said[at]]
        at += max(length, 1)
    return tuple(found)


def in_english(text: str) -> str:
    """A name or a unit in English words, folded; signs such as "%" and "°" stay."""
    return " ".join(english_words(tuple(_WORD.findall(fold(text)))))


def _compound(word: str) -> str:
    """The English of a German compound, "" when its parts are not all known."""
    return _parts_of(word) if LEAST_COMPOUND <= len(word) <= MOST_COMPOUND else ""


@lru_cache(WORDS_REMEMBERED)
def _parts_of(word: str) -> str:
    parts = _dictionary().parts
    for ending in _LINKS:  # also those of the genitive: "des Beckens"
        stem = word[: len(word) - len(ending)]
        if word.endswith(ending) and stem in parts and parts[stem] != stem:
            return parts[stem]
    if word in parts:
        return word
    for end in range(len(word) - LEAST_PART, LEAST_PART - 1, -1):
        if word[:end] not in parts:
            continue
        for link in _LINKS:
            rest = word[end + len(link) :]
            if word[end:].startswith(link) and len(rest) >= LEAST_PART and (tail := _parts_of(rest)):
                return f"{parts[word[:end]]} {tail}"
    return ""
