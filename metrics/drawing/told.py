"""A verdict as a family is told of it: the words at the ends of the picture instead of numbers."""

from __future__ import annotations

from metrics.drawing.marks import CANT_TELL, FLAG, HIGH, IN_RANGE, LIKELY, LOW, WATCH, Verdict
from metrics.drawing.words import SURE_WORDS, either_words, zone_words

TOO = "too "


def end_word(verdict: Verdict, ends: tuple[str, str, str]) -> str:
    """The word of the side on which the value stands: low, good or high."""
    low, good, high = ends
    return {LOW: low, HIGH: high}.get(verdict.side, good) if verdict.zone in (WATCH, FLAG) else good


def place_words(verdict: Verdict, ends: tuple[str, str, str]) -> str:
    """ "too short", "a little short" or "a bit toward “bent”" while it is only to watch, "good length"."""
    word = end_word(verdict, ends)
    if not verdict.is_scored:
        return ""
    if verdict.sure == CANT_TELL:
        return SURE_WORDS[CANT_TELL]
    if verdict.zone != WATCH:
        return word
    return f"a little {word.removeprefix(TOO)}" if word.startswith(TOO) else f"a bit toward “{word}”"


def verdict_words(verdict: Verdict, probability: float | None) -> str:
    """The verdict beside those words: "flag low, likely, about 8 in 10"; "in range or watch"."""
    if not verdict.is_scored:
        return zone_words(verdict)
    if verdict.sure == CANT_TELL:
        return either_words(verdict)
    words = [zone_words(verdict), SURE_WORDS.get(verdict.sure, verdict.sure)]
    if verdict.sure == LIKELY and probability is not None:
        words.append(f"about {tenths(probability)} in 10")
    return ", ".join(word for word in words if word)


def tenths(probability: float) -> int:
    """A chance in tenths, to the nearest; never none and never all of them, since the verdict is not sure."""
    return min(9, max(1, int(10 * probability + 0.5)))


def picture_words(verdict: Verdict, ends: tuple[str, str, str], label: str, before: Verdict | None = None) -> str:
    """What a screen reader says of the picture: no number, since the coach may have left them out."""
    low, good, high = ends
    parts = [f"{label}. A line from “{low}” over “{good}” to “{high}”."]
    if verdict.is_scored:
        parts.append(f"The mark stands {_place(verdict, ends)}.")
    if before is not None and before.is_scored:
        parts.append(f"Last time it stood {_place(before, ends)}.")
    return " ".join(parts)


def _place(verdict: Verdict, ends: tuple[str, str, str]) -> str:
    word = end_word(verdict, ends)
    if verdict.zone == IN_RANGE:
        return "in the good range"
    return f"{'past the end tick' if verdict.zone == FLAG else 'beside the good range'}, at “{word}”"
