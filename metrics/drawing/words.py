"""The words that stand beside every mark, and the sentences that screen readers say."""

from __future__ import annotations

import math

from metrics.drawing.marks import CANT_TELL, FLAG, HIGH, IN_RANGE, LIKELY, LOW, NOT_SCORED, SURE, WATCH, Verdict

ZONE_WORDS = {IN_RANGE: "in range", WATCH: "watch", FLAG: "flag", NOT_SCORED: "not scored"}
SURE_WORDS = {SURE: "sure", LIKELY: "likely", CANT_TELL: "can’t tell"}
ZONE_ORDER = (IN_RANGE, WATCH, FLAG)
NEIGHBOUR = {IN_RANGE: WATCH, WATCH: IN_RANGE, FLAG: WATCH}


def percent(probability: float | None) -> str:
    """Write a chance rounded down, so that no verdict ever claims 100% or a threshold that it missed."""
    if probability is None or not math.isfinite(probability):
        return ""
    return f"{min(99, math.floor(probability * 100 + 1e-9))}%"


def zone_words(verdict: Verdict) -> str:
    """Write the zone, and the side of a flag: "in range", "watch", "flag low"."""
    words = ZONE_WORDS.get(verdict.zone, ZONE_WORDS[NOT_SCORED])
    return f"{words} {verdict.side}" if verdict.zone == FLAG and verdict.side in (LOW, HIGH) else words


def either_words(verdict: Verdict, other_zone: str = "") -> str:
    """Write the two likeliest zones of a can't tell, nearest to the target first: "in range or watch"."""
    other = other_zone if other_zone in ZONE_ORDER and other_zone != verdict.zone else NEIGHBOUR.get(verdict.zone, "")
    pair = sorted((verdict.zone, other), key=lambda zone: ZONE_ORDER.index(zone) if zone in ZONE_ORDER else 9)
    return " or ".join(ZONE_WORDS[zone] for zone in pair if zone in ZONE_WORDS)


def spoken_verdict(verdict: Verdict, *, other_zone: str = "", reason: str = "") -> str:
    """Write a verdict for the ear: "watch low, likely"; "can’t tell, in range or watch"; "not scored, …"."""
    if not verdict.is_scored:
        return f"not scored, {reason.rstrip('.')}" if reason else "not scored"
    if verdict.sure == CANT_TELL:
        return f"can’t tell, {either_words(verdict, other_zone)}"
    side = f" {verdict.side}" if verdict.zone != IN_RANGE and verdict.side in (LOW, HIGH) else ""
    return f"{ZONE_WORDS[verdict.zone]}{side}, {SURE_WORDS.get(verdict.sure, verdict.sure)}"
