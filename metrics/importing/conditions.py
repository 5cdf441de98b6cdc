"""The conditions of a throw as tables word them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from typing import Any

from metrics.importing.cells import Cell, Unreadable, is_missing, parse_number, text_of
from metrics.importing.units import OUNCE_KG

PITCH_TYPES = ("fastball", "curveball", "slider", "changeup", "other")
INTENTS = ("full_effort", "controlled", "warm_up")
SURFACES = ("mound", "flat_ground", "other")
BALLS = ("regulation", "weighted", "other")

# Rule 3.01 of the Official Baseball Rules: 5 to 5 1/4 ounces (from memory).
REGULATION_OUNCES = (5.0, 5.25)


@dataclass(frozen=True)
class Conditions:
    """How a throw was made; "" or None where nothing says so.

    `intent_percent` is the effort asked for, 0 to 100; `ball_mass` is in kilograms.
    """

    pitch_type: str = ""
    intent: str = ""
    surface: str = ""
    ball: str = ""
    intent_percent: float | None = None
    ball_mass: float | None = None

    def over(self, defaults: Conditions) -> Conditions:
        """These conditions, with what they leave open taken from `defaults`.

        Percent and mass belong to intent and ball and never come from the other one alone.
        """
        filled = replace(defaults, **{name: value for name, value in asdict(self).items() if value})
        if self.intent and self.intent_percent is None:
            filled = replace(filled, intent_percent=None)
        if self.ball and self.ball_mass is None:
            filled = replace(filled, ball_mass=None)
        return filled

    def to_json(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Conditions:
        known = {field.name for field in fields(cls)}
        return cls(**{name: value for name, value in data.items() if name in known})


# What a recipe starts from: the scored set of a plain outing (product.md, scored throws).
PLAIN_PITCH = Conditions("fastball", "full_effort", "mound", "regulation")

# Words and letter codes of the trade (common practice, no published source).
_WORDS: dict[str, dict[str, str]] = {
    "pitch_type": {
        "fastball": "fastball fb ff ft fa si 4s 2s four-seam 4-seam fourseam two-seam 2-seam twoseam "
        "four-seamer two-seamer sinker fast heater four-seam-fastball two-seam-fastball 4-seam-fastball "
        "2-seam-fastball 4sfb 2sfb",
        "curveball": "curveball cb cu curve kc knuckle-curve breaking-ball",
        "slider": "slider sl sweeper st sw",
        "changeup": "changeup ch change change-up cu-change circle-change circle cup",
        "other": "other cutter fc ct splitter fs sp knuckleball kn knuckle forkball fork eephus screwball",
    },
    "intent": {
        "full_effort": "full max maximum maximal full-effort max-effort game game-effort game-speed live "
        "full-intent max-intent high high-intent",
        "controlled": "controlled control submaximal sub-max submax low low-intent medium moderate easy recovery light",
        "warm_up": "warm-up warmup warm wu w-up warmups warm-ups",
    },
    "surface": {
        "mound": "mound bullpen pen game-mound indoor-mound portable-mound slope sloped m",
        "flat_ground": "flat-ground flat flatground fg floor level turf ground",
        "other": "other",
    },
    "ball": {
        "regulation": "regulation reg baseball standard game normal regulation-ball game-ball official",
        "weighted": "weighted weighted-ball heavy light plyo plyometric overload underload",
        "other": "other softball tennis",
    },
}
_MEANINGS: dict[str, dict[str, str]] = {
    field: {word: meaning for meaning, words in table.items() for word in words.split(" ")}
    for field, table in _WORDS.items()
}
_PERCENT = re.compile(r"(\d+(?:[.,]\d+)?)\s*%?")
_MASS = re.compile(r"^(\d+(?:[.,]\d+)?)\s*[- ]?(oz|ounces?|g|grams?|kg|lbs?)?\b")
_KILOGRAMS = {"oz": OUNCE_KG, "ou": OUNCE_KG, "g": 0.001, "gr": 0.001, "kg": 1.0, "lb": 16 * OUNCE_KG}


def condition_words(field: str) -> Mapping[str, str]:
    """Word → meaning for one condition. KeyError when there is no such condition."""
    return _MEANINGS[field]


def read_condition(field: str, cell: Cell) -> Conditions | Unreadable | None:
    """What one cell says about `field`; None where it is empty, Unreadable for an unknown word."""
    if is_missing(cell):
        return None
    text = text_of(cell).lower()
    word = re.sub(r"[\s_]+", "-", text)
    meaning = _MEANINGS[field].get(word)
    if meaning:
        said: dict[str, Any] = {field: meaning}
        return Conditions(**said)
    if field == "intent":
        return _intent_of(cell, text)
    if field == "ball":
        return _ball_of(text)
    return Unreadable("unknown_word")


def _intent_of(cell: Cell, text: str) -> Conditions | Unreadable:
    """ "80%", 80 and 0.8 are all eight tenths of full effort."""
    match = _PERCENT.search(text)
    number = parse_number(match[1]) if match else None
    if not isinstance(number, float):
        return Unreadable("unknown_word")
    percent = number * 100 if number <= 1 and "%" not in text else number
    if not 0 < percent <= 110:
        return Unreadable("unknown_word")
    if percent >= 100:
        return Conditions(intent="full_effort", intent_percent=percent)
    return Conditions(intent="controlled", intent_percent=percent)


def _ball_of(text: str) -> Conditions | Unreadable:
    """A ball by its mass; a bare number is in ounces up to 64, else in grams."""
    match = _MASS.match(text)
    number = parse_number(match[1]) if match else None
    if match is None or not isinstance(number, float) or number <= 0:
        return Unreadable("unknown_word")
    unit = (match[2] or ("oz" if number <= 64 else "g"))[:2]
    mass = number * _KILOGRAMS[unit]
    low, high = (ounces * OUNCE_KG for ounces in REGULATION_OUNCES)
    # Labels are rounded to the gram: 142 g is 5.009 oz, 149 g is 5.256 oz.
    regulation = low - 0.001 <= mass <= high + 0.001
    return Conditions(ball="regulation" if regulation else "weighted", ball_mass=mass)


_SET = frozenset(["yes", "y", "true", "t", "1", "x"])
_CLEAR = frozenset(["no", "n", "false", "f", "0"])
_GOOD = frozenset(["good", "ok", "include", "included", "valid", "keep", "use", "used"])
_BAD = frozenset(["bad", "exclude", "excluded", "invalid", "reject", "rejected", "drop", "omit", "omitted"])


def read_exclusion(cell: Cell, *, marks: str) -> str | None:
    """Why a throw is left out: the cell's words, "" when it is used, None where the cell is empty.

    `marks` is "excluded" for a column that marks the throws to leave out, "included" for one that
    marks those to use. Any other words in an *excluded* column are the reason itself.
    """
    if is_missing(cell):
        return None
    text = text_of(cell)
    word = text.lower()
    if word in _GOOD or word in (_CLEAR if marks == "excluded" else _SET):
        return ""
    if word in _BAD or word in (_SET if marks == "excluded" else _CLEAR):
        return "marked in the file"
    return text if marks == "excluded" else ""
