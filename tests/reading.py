"""How hard a text is to read: the grade of school by Kincaid, Fishburne, Rogers and Chissom (1975).

"Derivation of new readability formulas for Navy enlisted personnel", Research Branch Report 8-75: the grade is
0.39 × words a sentence + 11.8 × syllables a word − 15.59. Grade 7 is the age of about twelve.

The dictionary of syllables that common packages use is fetched from the network, which tests may not reach. So
syllables are counted by hand where a word stands in `syllables.csv`, and by the rules below elsewhere;
`tests/test_reading.py` holds the rules against the words that were counted by hand.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping
from functools import cache
from html import unescape
from types import MappingProxyType

from tests.source import CHECKOUT

COUNTED_BY_HAND = CHECKOUT / "tests/reference/data/syllables.csv"

WORD = re.compile(r"[A-Za-zÀ-ÿ]+(?:[’'][A-Za-z]+)?")
SENTENCE_END = re.compile(r"[.!?]+[”\"]?(?=\s|$)")
BLOCK = re.compile(r"</?(?:p|h[1-6]|li|section|div|small|td|th|tr|dt|dd|a|button|legend|label|blockquote|form)\b[^>]*>")
UNREAD = re.compile(r"<(svg|script|style|title)\b.*?</\1>|<[^>]*class=\"vh\"[^>]*>.*?</\w+>", re.DOTALL)


@cache
def counted_by_hand() -> Mapping[str, int]:
    with COUNTED_BY_HAND.open(encoding="utf-8") as file:
        return MappingProxyType({row["word"]: int(row["syllables"]) for row in csv.DictReader(file)})


SPOKEN_END = re.compile(r"(?:ss|sh|ch|x|z|s|c|g)es$|[^aeiouylr]les?$|[td]ed$|[^aeiouylr][lr]ed$|tes$")
SILENT_END = re.compile(r"[^aeiouy](?:e|es|ed)$")
APART = re.compile(r"[iu]a(?!r)|io(?!n|us)|eo(?!p)|[aeiou]ing$|ya|uous|ier$|ying$")


def syllables_by_rule(word: str) -> int:
    """Groups of vowels, less a silent one at the end, plus pairs of vowels that are spoken apart."""
    text = re.sub(r"[’'](s|t|re|ve|ll|d|m)$", "", word.lower())
    silent = bool(SILENT_END.search(text)) and not SPOKEN_END.search(text)
    return max(1, len(re.findall(r"[aeiouy]+", text)) - silent + len(APART.findall(text)))


def syllables(word: str) -> int:
    return counted_by_hand().get(word.lower(), 0) or syllables_by_rule(word)


def words_of(text: str) -> list[str]:
    return WORD.findall(text)


def blocks_of(page: str) -> list[str]:
    """What a person reads in the main part of a page, a paragraph, head, button or cell at a time."""
    main = page.split("<main", 1)[1].split("</main>")[0].split(">", 1)[1]
    parts = BLOCK.split(UNREAD.sub(" ", main))
    texts = (" ".join(unescape(re.sub(r"<[^>]+>", "", part)).split()) for part in parts)
    return [text for text in texts if words_of(text)]


def sentences_of(blocks: Iterable[str]) -> list[str]:
    """Whole sentences only: heads, buttons and labels are a word or two, and would make a page look easy."""
    found = []
    for block in blocks:
        start = 0
        for end in SENTENCE_END.finditer(block):
            found.append(block[start : end.end()].strip())
            start = end.end()
    return [sentence for sentence in found if words_of(sentence)]


def reading_grade(sentences: Iterable[str]) -> float:
    texts = list(sentences)
    words = [word for sentence in texts for word in words_of(sentence)]
    return grade_of_counts(sentences=len(texts), words=len(words), spoken=sum(map(syllables, words)))


def grade_of_counts(*, sentences: int, words: int, spoken: int) -> float:
    """The formula itself; `spoken` is the number of syllables."""
    return 0.39 * words / sentences + 11.8 * spoken / words - 15.59
