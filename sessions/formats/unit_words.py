"""Which texts name a unit. Knows their spelling only; what they convert to is not this package's business."""

from __future__ import annotations

import re
from typing import Final

from sessions.formats.cells import word_set

UNIT_WORDS: Final = word_set(
    """deg|degs|degree|degrees|°|º|rad|rads|radian|radians|grad|grados|grado|degrés|degré|
    grad/s|grad/sek|grados/s|degrés/s|sek|sekunde|sekunden|segundos|secondes|prozent|meter/s|
    deg/s|deg/sec|deg/second|degs/s|degree/s|degrees/s|degrees/sec|degrees/second|degreespersecond|degpersec|°/s|°/sec|
    º/s|dps|degs-1|deg·s-1|deg.s-1|rad/s|rad/sec|radians/s|radians/sec|rad·s-1|rads-1|rpm|rev/s|
    m|meter|meters|metre|metres|cm|centimeter|centimeters|centimetre|centimetres|mm|millimeter|millimeters|
    millimetre|millimetres|in|in.|inch|inches|"|″|ft|ft.|foot|feet|'|′|yd|
    m/s|m/sec|ms-1|m·s-1|mps|meters/second|metres/second|mph|mi/h|miles/hour|km/h|kmh|kph|ft/s|fps|cm/s|mm/s|
    m/s2|m/s²|m/s^2|deg/s2|deg/s²|deg/s^2|rad/s2|rad/s²|g|
    s|sec|secs|second|seconds|ms|msec|msecs|millisecond|milliseconds|min|frame|frames|hz|
    n|newton|newtons|kn|nm|n·m|n*m|n-m|n.m|nmm|newtonmeters|newtonmetres|ft-lb|ft·lb|ftlb|ft-lbs|lb-ft|in-lb|
    kg|kgs|kilogram|kilograms|grams|oz|ounces|lb|lbs|lb.|pound|pounds|lbf|
    nm/kg|n·m/kg|n/kg|n·s|n·s/kg|ns/kg|w|w/kg|kw|j|j/kg|
    percent|pct|bw|xbw|bw·bh|bw*bh|bwxht|bodyweight|bodyheight|
    count|reps|score|none|unitless|dimensionless"""
)
"""Compared in lower case without spaces. Anything that begins with % is a unit too ("% height")."""

_PLACEHOLDERS: Final = word_set("|-|--|—|–|n/a|na|text|date|id|name|yyyy-mm-dd|#")
_BRACKETED = re.compile(r"\s*[(\[{<]\s*([^()\[\]{}<>]{1,40}?)\s*[)\]}>]")
_AFTER_COMMA = re.compile(r"^(.+?)\s*[,;:/|]\s+([^,;:|]{1,40})$")
# Written as one word; only endings that end no English name of a metric.
_ENDING = re.compile(
    r"^(.+?)[_\s.]+(degrees|degree|degs|deg|deg[_/]s|deg[_/]sec|dps|rad|rad[_/]s|cm|mm|mph|kph|kmh|km/h|m/s|mps|ms|nm|kg|lbs|pct|hz|°|°/s|%)$",
    re.IGNORECASE,
)

LONGEST_NAME: Final = 200
"""A header of more characters is prose: no unit is sought in it. The patterns above take time with its square."""


def is_unit(text: str) -> bool:
    plain = "".join(text.split()).casefold()
    return plain in UNIT_WORDS or (plain.startswith("%") and len(plain) <= 24)


def is_placeholder(text: str) -> bool:
    """What stands in a units row where there is no unit."""
    return text.strip().casefold() in _PLACEHOLDERS


def without_brackets(text: str) -> str:
    """A unit as a row of units may write it: "[deg/s]" and "(deg/s)" → "deg/s"."""
    match = _BRACKETED.fullmatch(text)
    return match.group(1) if match else text.strip()


def split_unit(header: str) -> tuple[str, str]:
    """(name, unit text) of a column's header; the unit is "" when none is written there.

    "Elbow flexion (deg)", "Elbow flexion [deg] FP", "Elbow flexion, deg" and "elbow_flexion_deg" carry one.
    "Elbow flexion (FP)" does not: what stands in brackets must be a unit.
    """
    if len(header) > LONGEST_NAME:
        return header.strip(), ""
    for match in _BRACKETED.finditer(header):
        if is_unit(match.group(1)):
            name = f"{header[: match.start()]} {header[match.end() :].strip()}".strip()
            return (" ".join(name.split()), match.group(1)) if name else (header.strip(), "")
    for pattern in (_AFTER_COMMA, _ENDING):
        found = pattern.match(header.strip())
        if found and is_unit(found.group(2).replace("_", "/")):
            return found.group(1).strip(), found.group(2).replace("_", "/")
    return header.strip(), ""
