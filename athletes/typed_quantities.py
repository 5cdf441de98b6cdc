"""Reading typed heights, masses, lengths and ball speeds, in either system, whoever the reader is.

A bare number is taken in the chosen system; one that makes no sense there but would in another unit is a
question (`Ambiguous`), never a guess. Pure: no database, no clock.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from athletes.quantities import (
    CM_PER_INCH,
    INCHES_PER_FOOT,
    KG_PER_POUND,
    M_S_PER_KM_H,
    M_S_PER_MPH,
    format_ball_speed,
    format_height,
    format_mass,
)


class NotAQuantity(ValueError):
    """What was typed is no such quantity; the message says what to write instead."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True)
class Ambiguous:
    """A number that could mean several things: the question, and texts that would be read without one."""

    sentence: str
    suggestions: tuple[str, ...]


@dataclass(frozen=True)
class Kind:
    """One kind of typed quantity.

    factors: unit → amount of the stored unit; bare: system → unit of a number without one;
    low, high: the plausible span in the stored unit (house opinion, wide enough for any pitcher from ten on).
    """

    name: str
    example: str
    factors: dict[str, float]
    bare: dict[str, str]
    low: float
    high: float


_LENGTHS_CM = {"cm": 1.0, "m": 100.0, "mm": 0.1, "in": CM_PER_INCH, "ft": CM_PER_INCH * INCHES_PER_FOOT}
HEIGHT = Kind("height", "6′1″, 73 in or 185 cm", _LENGTHS_CM, {"us": "in", "metric": "cm"}, 100.0, 230.0)
ARM_SPAN = Kind("arm span", "6′2″, 74 in or 188 cm", _LENGTHS_CM, {"us": "in", "metric": "cm"}, 95.0, 245.0)
LENGTH = Kind("length", "4.5 in or 11 cm", _LENGTHS_CM, {"us": "in", "metric": "cm"}, -math.inf, math.inf)
MASS = Kind("mass", "178 lb or 81 kg", {"kg": 1.0, "lb": KG_PER_POUND}, {"us": "lb", "metric": "kg"}, 20.0, 160.0)
BALL_SPEED = Kind(
    "ball speed",
    "84.6 mph or 136 km/h",
    {"mph": M_S_PER_MPH, "km/h": M_S_PER_KM_H, "m/s": 1.0},
    {"us": "mph", "metric": "km/h"},
    9.0,
    50.0,
)

_SPELLINGS = {
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("in", "inch", "inches", '"'), "in"),
    **dict.fromkeys(("ft", "foot", "feet", "'"), "ft"),
    **dict.fromkeys(("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"), "kg"),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), "lb"),
    **dict.fromkeys(("mph", "mi/h"), "mph"),
    **dict.fromkeys(("km/h", "kmh", "kph", "kmph"), "km/h"),
    **dict.fromkeys(("m/s", "mps"), "m/s"),
}
_MARKS = str.maketrans({"′": "'", "’": "'", "‘": "'", "`": "'", "´": "'", "″": '"', "”": '"', "“": '"', "−": "-"})
_NUMBER = r"[-+]?\d+(?:\.\d+)?"
_FEET_INCHES = re.compile(
    r"(?P<feet>\d+)\s*(?:'|ft\.?|feet|foot|-)\s*(?P<inches>\d+(?:\.\d+)?)\s*(?:\"|in\.?|inch|inches)?"
)
_ONE_UNIT = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>[a-z/'\"]*)\.?")
_DECIMAL_FEET = re.compile(r"(?P<feet>[3-7])\.(?P<digits>\d|1[01])")


def parse_height(text: str, system: str) -> float | Ambiguous:
    """Read a height in cm. Raises NotAQuantity."""
    return _parse(text, system, HEIGHT)


def parse_arm_span(text: str, system: str) -> float | Ambiguous:
    """Read an arm span in cm. Raises NotAQuantity."""
    return _parse(text, system, ARM_SPAN)


def parse_length(text: str, system: str) -> float | Ambiguous:
    """Read any length in cm; a bare number is inches or centimetres. Raises NotAQuantity."""
    return _parse(text, system, LENGTH)


def parse_mass(text: str, system: str) -> float | Ambiguous:
    """Read a body mass in kg. Raises NotAQuantity."""
    return _parse(text, system, MASS)


def parse_ball_speed(text: str, system: str) -> float | Ambiguous:
    """Read a ball speed in m/s. Raises NotAQuantity."""
    return _parse(text, system, BALL_SPEED)


def _parse(text: str, system: str, kind: Kind) -> float | Ambiguous:
    cleaned = " ".join(text.translate(_MARKS).replace("''", '"').lower().split())
    cleaned = re.sub(r"(\d),(\d{1,2})(?!\d)", r"\1.\2", cleaned)
    if not cleaned:
        raise NotAQuantity(f"No {kind.name} was typed. Write it like {kind.example}.")
    if "ft" in kind.factors and (match := _FEET_INCHES.fullmatch(cleaned)):
        return _feet_and_inches(text, match, kind)
    match = _ONE_UNIT.fullmatch(cleaned)
    if match is None:
        raise NotAQuantity(f"“{text.strip()}” is no {kind.name}. Write it like {kind.example}.")
    number, spelling = match["number"], match["unit"].strip()
    if not spelling:
        return _bare(number, system, kind)
    unit = _SPELLINGS.get(spelling)
    if unit not in kind.factors:
        raise NotAQuantity(f"“{spelling}” is no unit of {kind.name}. Write it like {kind.example}.")
    if unit == "ft" and kind is not LENGTH and (question := _feet_with_a_point(number, kind)):
        return question
    return _plausible(float(number) * kind.factors[unit], text, kind)


def _feet_and_inches(text: str, match: re.Match[str], kind: Kind) -> float:
    inches = float(match["inches"])
    if inches >= INCHES_PER_FOOT:
        raise NotAQuantity(f"“{text.strip()}” has {inches:g} inches over the feet; 12 make a foot.")
    return _plausible((int(match["feet"]) * INCHES_PER_FOOT + inches) * CM_PER_INCH, text, kind)


def _feet_with_a_point(number: str, kind: Kind) -> Ambiguous | None:
    """5.11 ft is written for 5′11″ as often as for five and eleven hundredths: ask."""
    match = _DECIMAL_FEET.fullmatch(number)
    if match is None:
        return None
    as_inches = f"{match['feet']}′{int(match['digits'])}″"
    as_decimal = f"{float(number) * INCHES_PER_FOOT:.1f} in"
    return Ambiguous(f"Is a {kind.name} of {number} feet {as_inches}, or {as_decimal}?", (as_inches, as_decimal))


def _bare(number: str, system: str, kind: Kind) -> float | Ambiguous:
    value, unit = float(number), kind.bare[system]
    stored = value * kind.factors[unit]
    if kind.low <= stored <= kind.high:
        return stored
    readings: list[str] = []
    for other, factor in kind.factors.items():
        if other == "ft" and kind.low <= value * factor <= kind.high:
            question = _feet_with_a_point(number, kind)
            readings += question.suggestions if question else (f"{number} ft",)
        elif kind.low <= value * factor <= kind.high:
            readings.append(f"{number} {other}")
    if readings:
        return Ambiguous(
            f"A {kind.name} of {number} {unit} cannot be. Did you mean {' or '.join(readings)}?", tuple(readings)
        )
    raise NotAQuantity(f"A {kind.name} of {number} makes no sense in any unit. Write it like {kind.example}.")


def _plausible(stored: float, text: str, kind: Kind) -> float:
    if kind.low <= stored <= kind.high:
        return stored
    raise NotAQuantity(
        f"A {kind.name} of {text.strip()} is outside {_written(kind.low, kind)} to {_written(kind.high, kind)}. "
        "Check the number and its unit."
    )


def _written(stored: float, kind: Kind) -> str:
    """Write an end of a plausible span in both systems."""
    if kind is MASS:
        return f"{format_mass(stored, 'us')} ({format_mass(stored, 'metric')})"
    if kind is BALL_SPEED:
        return f"{format_ball_speed(stored, 'us')} ({format_ball_speed(stored, 'metric')})"
    return f"{format_height(stored, 'us')} ({format_height(stored, 'metric')})"
