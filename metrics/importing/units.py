"""What a unit text means, and how a column's numbers become a metric's stored numbers.

Every conversion is `stored = factor · number + offset`. Angles are kept in degrees, lengths of
"% height" metrics in metres (the percent is made later, with the height on that date).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from metrics.importing.languages import in_english

if TYPE_CHECKING:
    from metrics.catalogue import Metric

# Exact by definition: international yard and pound agreement of 1959.
INCH_M = 0.0254
FOOT_M = 0.3048
MILE_M = 1609.344
POUND_KG = 0.45359237
OUNCE_KG = POUND_KG / 16
# Exact by definition: third General Conference on Weights and Measures, 1901.
STANDARD_GRAVITY_MS2 = 9.80665
HOUR_S = 3600.0
DEG_PER_RAD = 180.0 / math.pi
# Products of the exact values above; NIST SP 811 appendix B lists the same (from memory):
# 0.44704 m/s a mile per hour, 4.448 222 N a pound-force, 1.355 818 N·m a pound-force foot.
MPH_MS = MILE_M / HOUR_S
POUND_FORCE_N = POUND_KG * STANDARD_GRAVITY_MS2


@dataclass(frozen=True)
class UnitReading:
    """A unit text that was understood: `factor` turns a number in it into the quantity's base unit."""

    quantity: str
    factor: float
    canonical: str


@dataclass(frozen=True)
class Conversion:
    """`stored = factor · number + offset`, in `storage_unit`; `words` say it to a person."""

    factor: float
    offset: float
    storage_unit: str
    words: str

    def apply(self, number: float) -> float:
        """One number of the column's unit → the number that is stored, in `storage_unit`."""
        return self.factor * number + self.offset

    def then(self, factor: float, offset: float, words: str) -> Conversion:
        """The same conversion followed by `factor · x + offset`: a sign flip, an inner angle."""
        return Conversion(
            self.factor * factor, self.offset * factor + offset, self.storage_unit, f"{self.words}, {words}"
        )


@dataclass(frozen=True)
class UnitDoesNotFit:
    """The unit cannot be turned into the metric's; the sentence says why and what to do."""

    sentence: str


# quantity → (canonical, factor to the quantity's base unit, other spellings once squeezed).
# The first unit of a quantity is its base.
_UNITS: dict[str, tuple[tuple[str, float, str], ...]] = {
    "angle": (("deg", 1.0, "deg"), ("rad", DEG_PER_RAD, "rad"), ("rev", 360.0, "rev turns")),
    "angular_velocity": (
        ("deg/s", 1.0, "deg/s dps degps"),
        ("rad/s", DEG_PER_RAD, "rad/s radps"),
        ("rev/s", 360.0, "rev/s rps"),
        ("rpm", 6.0, "rpm rev/min"),
    ),
    "length": (
        ("m", 1.0, "m"),
        ("cm", 0.01, "cm"),
        ("mm", 0.001, "mm"),
        ("in", INCH_M, 'in inch inches ins "'),
        ("ft", FOOT_M, "ft foot feet '"),
    ),
    "speed": (
        ("m/s", 1.0, "m/s mps"),
        ("mph", MPH_MS, "mph mi/h mile/h miles/h mi/hr miles/hour mile/hour"),
        ("km/h", 1000.0 / HOUR_S, "km/h kph kmh kmph km/hr km/hour"),
        ("ft/s", FOOT_M, "ft/s fps feet/s foot/s"),
        ("cm/s", 0.01, "cm/s"),
    ),
    "time": (("s", 1.0, "s"), ("ms", 0.001, "ms msec msecs millisecond milliseconds")),
    "force": (
        ("N", 1.0, "n"),
        ("kN", 1000.0, "kn"),
        ("lbf", POUND_FORCE_N, "lbf lbsf poundforce"),
        ("kgf", STANDARD_GRAVITY_MS2, "kgf kp"),
    ),
    "torque": (
        ("N·m", 1.0, "nm mn"),
        ("lbf·ft", POUND_FORCE_N * FOOT_M, "lbfft ftlbf ftlb ftlbs lbft lbsft"),
        ("lbf·in", POUND_FORCE_N * INCH_M, "lbfin inlbf inlb inlbs lbin lbsin"),
    ),
    "mass": (
        ("kg", 1.0, "kg kgs kilo kilos kilogram kilograms"),
        ("g", 0.001, "g gram grams"),
        ("lb", POUND_KG, "lb lbs pound pounds"),
        ("oz", OUNCE_KG, "oz ounce ounces"),
    ),
    "share_of_height": (
        ("% height", 1.0, "%height %ht %h %bh %bodyheight %stature heightpct ht% bh% height%"),
        ("× height", 100.0, "height ht bh bodyheight xheight xbh heights bodyheights"),
    ),
    "share_of_weight": (
        ("% body weight", 1.0, "%bodyweight %bw %weight %mass %bodymass bw% bodyweight%"),
        ("× body weight", 100.0, "bodyweight bw xbw bodyweights xbodyweight n/bw"),
    ),
    "share_of_weight_height": (
        (
            "% weight × height",
            1.0,
            "%weightheight %weightxheight %bwh %bwxh %bwht %bwbh %bwxbh %bwxht %bwheight %bwxheight "
            "%bodyweightheight %bodyweightxheight %nm/bwh",
        ),
        ("× weight × height", 100.0, "bwh bwxh bwxht bwxbh weightheight weightxheight"),
    ),
    "share_of_delivery": (
        (
            "% fc-br",
            1.0,
            "%fcbr %fctobr %contacttorelease %footcontacttorelease %pitch %pitchcycle %pitchtime "
            "%delivery %cycle %footcontacttoballrelease",
        ),
    ),
    "impulse_by_mass": (("N·s/kg", 1.0, "ns/kg"),),
    "share": (("%", 1.0, "%"), ("ratio", 100.0, "ratio fraction proportion")),
    "count": (("count", 1.0, "count counts n# # number"),),
}

_BY_SPELLING: dict[str, UnitReading] = {
    spelling: UnitReading(quantity, factor, canonical)
    for quantity, units in _UNITS.items()
    for canonical, factor, spellings in units
    for spelling in spellings.split(" ")
}

# One word, two quantities: a scale's pounds are a force where a force is wanted (common practice, no
# published source), and a bare percent or ratio is a share of whatever the metric is a share of.
_READ_AS: dict[tuple[str, str], str] = {
    ("lb", "force"): "lbf",
    ("kg", "force"): "kgf",
    ("lbf", "mass"): "lb",
    ("kgf", "mass"): "kg",
}
_SHARES = ("share_of_height", "share_of_weight", "share_of_weight_height", "share_of_delivery")
_BY_CANONICAL: dict[str, UnitReading] = {
    canonical: UnitReading(quantity, factor, canonical)
    for quantity, units in _UNITS.items()
    for canonical, factor, _ in units
}

_SPELT_OUT = (
    (r"[°º˚]", "deg"),
    (r"[″”“]|''", '"'),
    (r"[′’]", "'"),
    (r"[·•⋅∙×✕]", "*"),
    (r"⁻¹|−1|\^-1|\^\(-1\)", "-1"),
    (r"\bpercent(age)?\b|\bpct\b|\bperc\b", "%"),
    (r"\b(degrees|degree|degs)\b", "deg"),
    (r"\b(radians|radian|rads)\b", "rad"),
    (r"\b(revolutions|revolution|revs)\b", "rev"),
    (r"\b(newtons|newton)\b", "n"),
    (r"millimet(er|re)s?", "mm"),
    (r"centimet(er|re)s?", "cm"),
    (r"met(er|re)s?\b", "m"),
    (r"\bper\b", "/"),
    (r"(?<![a-z])(seconds|second|secs|sec)\b", "s"),
    (r"[\s.*_]*s-1$", "/s"),
    (r"[\s.*_]*kg-1$", "/kg"),
)
_SPELT_OUT_COMPILED = tuple((re.compile(pattern), meaning) for pattern, meaning in _SPELT_OUT)
_LEFT_OUT = re.compile(r"\bof\b|\bthe\b|[\s*._\-–()\[\]]")


def _squeezed(text: str) -> str:
    """A unit text in the spelling that the table knows: no spaces, no signs of multiplication."""
    squeezed = text.strip().strip("()[]").lower()
    for pattern, meaning in _SPELT_OUT_COMPILED:
        squeezed = pattern.sub(meaning, squeezed)
    return _LEFT_OUT.sub("", squeezed)


def parse_unit(text: str) -> UnitReading | None:
    """What a unit text means; None when it is empty or not a unit that is known."""
    if not text.strip():
        return None
    return _BY_SPELLING.get(_squeezed(text)) or _BY_SPELLING.get(_squeezed(in_english(text)))


def base_unit(quantity: str) -> str:
    """The canonical name of the unit that a quantity's factors lead to. KeyError when unknown."""
    return _UNITS[quantity][0][0]


def canonical_units(quantity: str) -> tuple[str, ...]:
    """All units of a quantity by their canonical names, the base first. KeyError when unknown."""
    return tuple(canonical for canonical, _, _ in _UNITS[quantity])


def factor_between(from_unit: str, to_unit: str) -> float | None:
    """Number in `to_unit` for one `from_unit`; None when one is unknown or they measure different things."""
    source, target = parse_unit(from_unit), parse_unit(to_unit)
    if source is None or target is None:
        return None
    source = _read_as(source, target.quantity)
    return source.factor / target.factor if source.quantity == target.quantity else None


def _read_as(source: UnitReading, quantity: str) -> UnitReading:
    """The reading of a unit that has two meanings, for the quantity that is wanted."""
    other = _READ_AS.get((source.canonical, quantity))
    if other:
        return _BY_CANONICAL[other]
    if source.quantity == "share" and quantity in _SHARES:
        return UnitReading(quantity, source.factor, source.canonical)
    return source


def conversion(from_unit: str, metric: Metric) -> Conversion | UnitDoesNotFit:
    """How a column in `from_unit` becomes stored values of `metric`.

    An empty unit is read as the metric's own. Lengths of a "% height" metric go to metres, percents
    stay percents. A unit that is unknown or measures something else gives `UnitDoesNotFit`.
    """
    if not from_unit.strip():
        return Conversion(1.0, 0.0, metric.unit, f"no unit given, read as {metric.unit}")
    target = parse_unit(metric.unit)
    if target is None:
        return _same_text(from_unit, metric)
    source = parse_unit(from_unit)
    if source is None:
        return UnitDoesNotFit(
            f"“{from_unit.strip()}” is not a known unit; {metric.name} is kept in {metric.unit}. "
            f"Choose the unit of this column."
        )
    source = _read_as(source, target.quantity)
    if source.quantity == target.quantity:
        return _scaled(source, metric.unit, source.factor / target.factor)
    if target.quantity == "share_of_height" and source.quantity == "length":
        return _scaled(source, "m", source.factor)
    return UnitDoesNotFit(_misfit(source, metric))


def _scaled(source: UnitReading, unit: str, factor: float) -> Conversion:
    words = f"{source.canonical} → {unit}" if source.canonical != unit else f"{unit}, as they are"
    return Conversion(factor, 0.0, unit, words)


def _same_text(from_unit: str, metric: Metric) -> Conversion | UnitDoesNotFit:
    """For units that only a screen has ("reps", "class"): the same words, or none."""
    if _squeezed(from_unit) == _squeezed(metric.unit):
        return Conversion(1.0, 0.0, metric.unit, f"{metric.unit}, as they are")
    return UnitDoesNotFit(
        f"{metric.name} is kept in {metric.unit}; “{from_unit.strip()}” cannot be turned into that. "
        f"Choose another metric or leave the unit out."
    )


_NEEDS_BODY_SIZE = {
    ("force", "share_of_weight"): "dividing by body weight is not done here: export percent of body weight",
    ("torque", "share_of_weight_height"): "match this column to the torque in N·m instead",
    ("share_of_weight_height", "torque"): "match this column to the torque by weight and height instead",
    ("share_of_height", "length"): "export it as a length",
    ("time", "share_of_delivery"): "export it as percent of foot contact to release",
    ("share_of_delivery", "time"): "export it as a time from foot contact",
}


def _misfit(source: UnitReading, metric: Metric) -> str:
    target = parse_unit(metric.unit)
    quantity = target.quantity if target else ""
    what_to_do = _NEEDS_BODY_SIZE.get(
        (source.quantity, quantity), "choose another metric for this column, or correct its unit"
    )
    return f"{source.canonical} does not fit {metric.name}, which is kept in {metric.unit}: {what_to_do}."
