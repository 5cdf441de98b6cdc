"""Amounts of a dose as people type them: "3", "2 to 3", "2–3", "4 lb"."""

from __future__ import annotations

import re
from typing import Any

from plans.library.dose_words import span_words

KG_PER_LB = 0.45359237
"""Exact, by the definition of the international avoirdupois pound."""
NUMBER = r"(\d{1,4}(?:[.,]\d{1,3})?)"
SPAN = re.compile(rf"{NUMBER}(?:\s*(?:to|-|–|−|…)\s*{NUMBER})?\s*(kg|lbs?)?", re.IGNORECASE)


class NotASpan(ValueError):
    """The message is the sentence for the person who typed."""


def parse_span(text: str) -> list[int] | None:
    """Least and most, whole numbers; None for nothing typed. Raises NotASpan."""
    found = _read(text, "Write a whole number, or two such as 2 to 3.")
    if found is None:
        return None
    low, high, unit = found
    if unit or low % 1 or high % 1:
        raise NotASpan(f"“{text.strip()}” is no whole number. Write a whole number, or two such as 2 to 3.")
    return [int(low), int(high)]


def parse_load(text: str) -> list[float] | None:
    """Least and most in kg, from kg or lb; kg where no unit is typed. Raises NotASpan."""
    found = _read(text, "Write a load such as 2 to 4 kg, or 5 lb.")
    if found is None:
        return None
    low, high, unit = found
    factor = KG_PER_LB if unit.lower().startswith("lb") else 1.0
    return [round(low * factor, 2), round(high * factor, 2)]


def type_span(span: Any) -> str:
    """As it would be typed: "2 to 3"; empty for None."""
    return span_words(tuple(span)) if span else ""


def _read(text: str, hint: str) -> tuple[float, float, str] | None:
    if not text.strip():
        return None
    match = SPAN.fullmatch(text.strip())
    if match is None:
        raise NotASpan(f"“{text.strip()}” is not understood. {hint}")
    low = float(match[1].replace(",", "."))
    return low, float(match[2].replace(",", ".")) if match[2] else low, match[3] or ""
