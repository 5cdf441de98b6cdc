"""The closed lists of words that the library and its suggestions are written in."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from metrics.catalogue.causes.model import DIRECTIONS, INTERVENTION_KINDS, STATUSES

KINDS = INTERVENTION_KINDS
BODY_KINDS = ("mobility", "strength")
STATUS_WORDS: Mapping[str, str] = MappingProxyType({status: status.replace("_", " ") for status in STATUSES})

BANDS: Mapping[str, tuple[int, int | None]] = MappingProxyType(
    {"under_13": (0, 12), "13_15": (13, 15), "16_18": (16, 18), "adult": (19, None)}
)
"""First and last whole year of age of a dose, the youngest first. House opinion: schools and growth suggest them."""
BAND_WORDS: Mapping[str, str] = MappingProxyType(
    {"under_13": "under 13", "13_15": "13 to 15", "16_18": "16 to 18", "adult": "19 and older"}
)

EFFORTS = ("low", "full")
"""Low: at most half effort, or without hurry. Full: anything above."""
LOADS = ("none", "body weight", "band", "light weight", "medicine ball")
"""All but "none" is loaded work, which pain stops. "Body weight" is also an arm that swings without a ball."""
WEIGHED_LOADS = ("light weight", "medicine ball")

SUPERVISIONS: Mapping[str, str] = MappingProxyType(
    {"alone": "alone", "adult": "with an adult", "coach": "with a coach", "clinician": "with a clinician"}
)
NEEDS_STAFF = frozenset({"coach", "clinician"})

BASES: Mapping[str, str] = MappingProxyType(
    {
        "reference": "the reference table, which names no age",
        "reference_but_days": "the reference table, which names no age; how many days a week is the house’s",
        "house": "the house’s caution",
    }
)

AVAILABILITIES: Mapping[str, str] = MappingProxyType(
    {
        "full": "in full",
        "limited": "limited",
        "return_to_throw": "returning to throw",
        "stopped": "stopped",
        "away": "away",
    }
)
PHASES: Mapping[str, str] = MappingProxyType(
    {"off_season": "off season", "preseason": "preseason", "in_season": "in season", "rest": "rest from throwing"}
)

PAIN = ("throwing_pain", "high")
"""What a referral answers when pain is open."""

OUTCOMES = ("better", "no_change", "worse", "cannot_tell")
"""What a work came to for this athlete before."""

__all__ = [
    "AVAILABILITIES",
    "BANDS",
    "BAND_WORDS",
    "BASES",
    "BODY_KINDS",
    "DIRECTIONS",
    "EFFORTS",
    "KINDS",
    "LOADS",
    "NEEDS_STAFF",
    "OUTCOMES",
    "PAIN",
    "PHASES",
    "STATUSES",
    "STATUS_WORDS",
    "SUPERVISIONS",
    "WEIGHED_LOADS",
]
