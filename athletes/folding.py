"""Names without accents, case and apostrophes: how they are compared and looked for."""

from __future__ import annotations

import re
import unicodedata

# Letters that Unicode does not take apart into a plain letter and an accent.
PLAIN_LETTERS = str.maketrans({"ø": "o", "đ": "d", "ł": "l", "æ": "ae", "œ": "oe", "þ": "th", "ð": "d", "ı": "i"})
APOSTROPHES = re.compile(r"['’‘ʻʼ`´]")


def folded(text: str) -> str:
    plain = APOSTROPHES.sub("", text.casefold().translate(PLAIN_LETTERS))
    return "".join(letter for letter in unicodedata.normalize("NFKD", plain) if not unicodedata.combining(letter))
