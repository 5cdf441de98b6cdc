"""The closed lists of words that the catalogue is written in."""

from __future__ import annotations

LANES = ("lower_half", "trunk", "arm", "sequence", "screen")
KINDS = ("mechanic", "outcome", "style", "context", "screen")
METHODS = ("motion_capture", "video", "hands_on")
LEVELS = ("youth", "high_school", "college", "professional")
SIDES = ("", "throwing", "other", "front", "back")
VIEWS = ("", "open_side", "behind")
EVENTS = ("pkh", "fc", "fp", "mer", "br", "mir")

LANDING_MOMENTS = {"fc": "fc", "fp": "fp", "unknown": "landing"}
"""What an import says about landing, and how foot plant is then written in a reading key."""

UNITS = (
    "deg", "deg/s", "% height", "cm", "m/s", "s", "ms", "N", "N·m", "%", "% fc-br", "% body weight",
    "% weight × height", "N·s/kg", "count", "kg", "kg/m²", "N/kg", "cm/year", "years", "class", "yes/no", "0-10",
)  # fmt: skip

SCREEN_UNITS_WITHOUT_WORD = frozenset({"count", "class", "yes/no", "0-10"})
UNIT_SYMBOLS = {
    "deg": "°",
    "deg/s": "°/s",
    "% height": "% of height",
    "% fc-br": "% of contact to release",
    "% body weight": "% of body weight",
    **dict.fromkeys(SCREEN_UNITS_WITHOUT_WORD, ""),
}
SPACELESS_UNITS = frozenset({"deg", "deg/s", "%", "% height", "% fc-br", "% body weight"}) | SCREEN_UNITS_WITHOUT_WORD

PLAUSIBLE_HEIGHTS_M = (1.10, 2.20)
"""Shortest ten-year-old to tallest professional, metres: common practice, no published source."""

SHORT_NAME_LENGTH = 18
LEAST_SYNONYMS = 4
GREATEST_WEIGHT = 10.0
