"""Quantities as people read and type them: miles per hour, feet and inches, pounds, or metric.

Stored values are SI and degrees; only pages, prints and typed input use what this module makes of them.
Pure: no database, no clock. Typed input is read by athletes/typed_quantities.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

# Exact by definition: the international yard and pound of 1959 and what follows from them.
# Source: NIST Special Publication 811 (2008), appendix B.8, the factors printed in bold.
CM_PER_INCH = 2.54
INCHES_PER_FOOT = 12
KG_PER_POUND = 0.45359237
M_PER_MILE = 1609.344
M_S_PER_MPH = 0.44704
M_S_PER_KM_H = 1 / 3.6
N_PER_POUND_FORCE = 4.4482216152605

SYSTEMS = ("us", "metric")
NOT_KNOWN = "not known"
MINUS = "−"
MOST_DECIMALS = 9
NARROW_UNITS = {"°", "%", "°/s", "′", "″"}  # these follow the number without a space


@dataclass(frozen=True)
class Unit:
    """How a unit is written, said, and turned into the other system."""

    symbol: str
    one: str
    many: str
    us_unit: str = ""
    per_us_unit: float = 1.0  # this unit's amount in one us_unit
    words: str = ""  # the unit in full where the symbol alone is too short


UNITS: dict[str, Unit] = {
    "deg": Unit("°", "degree", "degrees"),
    "deg/s": Unit("°/s", "degree a second", "degrees a second"),
    "%": Unit("%", "percent", "percent"),
    "% height": Unit("%", "percent of height", "percent of height", words="% of height"),
    "% fc-br": Unit("%", "percent", "percent", words="% of contact to release"),
    "% body weight": Unit("%", "percent of body weight", "percent of body weight", words="% of body weight"),
    "% weight × height": Unit(
        "%", "percent of weight times height", "percent of weight times height", words="% weight × height"
    ),
    "cm": Unit("cm", "centimetre", "centimetres", "in", CM_PER_INCH),
    "mm": Unit("mm", "millimetre", "millimetres", "in", CM_PER_INCH * 10),
    "m": Unit("m", "metre", "metres", "in", CM_PER_INCH / 100),
    "in": Unit("in", "inch", "inches"),
    "cm/year": Unit("cm a year", "centimetre a year", "centimetres a year", "in/year", CM_PER_INCH),
    "in/year": Unit("inches a year", "inch a year", "inches a year"),
    "kg": Unit("kg", "kilogram", "kilograms", "lb", KG_PER_POUND),
    "lb": Unit("lb", "pound", "pounds"),
    "m/s": Unit("m/s", "metre a second", "metres a second"),
    "mph": Unit("mph", "mile an hour", "miles an hour"),
    "km/h": Unit("km/h", "kilometre an hour", "kilometres an hour"),
    "s": Unit("s", "second", "seconds"),
    "ms": Unit("ms", "millisecond", "milliseconds"),
    "N": Unit("N", "newton", "newtons"),
    "N·m": Unit("N·m", "newton metre", "newton metres"),
    "N·s/kg": Unit("N·s/kg", "newton second a kilogram", "newton seconds a kilogram"),
    "count": Unit("", "", ""),
}


def unit_for(unit: str) -> Unit:
    """Return how a unit is written; an unknown one is written as it stands."""
    return UNITS.get(unit) or Unit(unit, unit, unit)


def convert(value: float, unit: str, system: str) -> tuple[float, str]:
    """Return a stored value and its unit in the reader's system ("us" or "metric")."""
    known = unit_for(unit)
    if system == "us" and known.us_unit:
        return value / known.per_us_unit, known.us_unit
    return value, unit


def convert_ball_speed(speed_m_s: float, system: str) -> tuple[float, str]:
    """Return a ball speed in mph ("us") or km/h ("metric"); body speeds stay in m/s in both."""
    return (speed_m_s / M_S_PER_MPH, "mph") if system == "us" else (speed_m_s / M_S_PER_KM_H, "km/h")


def decimals_supported(half_width: float) -> int:
    """Return how many decimals a value with this ± supports; negative means tens, hundreds, ….

    One significant digit of the half width, two where it begins with 1, so that rounding never moves a
    value by more than a quarter of its own ±. (GUM, JCGM 100:2008, 7.2.6: at most two digits.)
    """
    if not math.isfinite(half_width) or half_width <= 0:
        return 3
    power = max(math.floor(math.log10(half_width) + 1e-9), -MOST_DECIMALS)
    leading = half_width / 10.0**power
    return -power + (1 if leading < 1.95 else 0)


def format_number(value: float, decimals: int, *, signed: bool = False) -> str:
    """Write a number with a true minus, commas from 1,000 on, and + when `signed`.

    Zero has no sign: −0.3 without decimals is 0, not −0.
    """
    rounded = round(value, decimals)
    text = f"{abs(rounded):,.{max(decimals, 0)}f}"
    if rounded < 0:
        return MINUS + text
    return f"+{text}" if signed and rounded > 0 else text


def with_unit(number: str, unit: str, *, full: bool = False) -> str:
    """Put a unit behind a written number: 44°, 71%, 24 ms; `full` writes "% of height" out."""
    known = unit_for(unit)
    if full and known.words:
        return f"{number}{known.words}" if known.words.startswith("% of") else f"{number} {known.words}"
    if not known.symbol:
        return number
    return f"{number}{known.symbol}" if known.symbol in NARROW_UNITS else f"{number} {known.symbol}"


def decimals_for(half_width: float | None, most: int | None, value: float = 0.0) -> int:
    """Return the decimals to show: what the ± supports, and never more than `most` when given."""
    if half_width is None:
        if most is not None:
            return most
        return 0 if abs(value) >= 20 else 1
    supported = decimals_supported(half_width)
    return supported if most is None else min(supported, most)


def format_quantity(
    value: float | None,
    unit: str,
    system: str,
    *,
    u: float | None = None,
    decimals: int | None = None,
    signed: bool = False,
    full: bool = False,
) -> str:
    """Write a stored value for a reader: "44°", "−7°", "+1.6 in", "6,480°/s".

    value, u: in `unit`; u is the standard uncertainty, which limits the decimals. decimals: the most to show,
    counted in `unit`; where the reader's unit is another one, the ± alone decides (one decimal without ±).
    """
    if value is None or not math.isfinite(value):
        return NOT_KNOWN
    shown, shown_unit = convert(value, unit, system)
    return with_unit(
        format_number(shown, _places(shown, unit, shown_unit, system, u, decimals), signed=signed),
        shown_unit,
        full=full,
    )


def format_half_width(u: float | None, unit: str, system: str, *, decimals: int | None = None) -> str:
    """Write "± 4" for 1.96 u, in the reader's unit and with the decimals of its value; "" when not known."""
    if u is None or not math.isfinite(u):
        return ""
    half_width, shown_unit = convert(1.96 * u, unit, system)
    places = _places(half_width, unit, shown_unit, system, u, decimals)
    least = 10.0**-places
    if 0 < half_width < least / 2:
        return f"± under {format_number(least, places)}"
    return f"± {format_number(half_width, places)}"


def format_span(low: float | None, high: float | None, unit: str, system: str, *, decimals: int = 0) -> str:
    """Write a range without its unit: "38 to 54", "up to 54", "from 38", "" when both sides are open."""

    def written(limit: float) -> str:
        shown, shown_unit = convert(limit, unit, system)
        return format_number(shown, decimals if shown_unit == unit else 1)

    if low is None:
        return "" if high is None else f"up to {written(high)}"
    if high is None:
        return f"from {written(low)}"
    return f"{written(low)} to {written(high)}"


def say_quantity(number: str, unit: str, value: float) -> str:
    """Write a value for the ear: "44 degrees", "minus 7 degrees", "1 inch"."""
    known = unit_for(unit)
    spoken = number.replace(MINUS, "minus ").replace("+", "plus ")
    return f"{spoken} {known.one if abs(value) == 1 else known.many}".strip()


def _places(shown: float, unit: str, shown_unit: str, system: str, u: float | None, decimals: int | None) -> int:
    half_width = None if u is None else convert(1.96 * u, unit, system)[0]
    if shown_unit == unit:
        return decimals_for(half_width, decimals, shown)
    return decimals_for(half_width, 1, shown)


def format_height(height_cm: float | None, system: str) -> str:
    """Write a height or an arm span: 6′1″ or 185 cm."""
    if height_cm is None:
        return NOT_KNOWN
    if system != "us":
        return f"{height_cm:.0f} cm"
    feet, inches = divmod(round(height_cm / CM_PER_INCH), INCHES_PER_FOOT)
    return f"{feet}′{inches}″"


def format_feet_inches(length_m: float, system: str) -> str:
    """Write a length for a family: "3 ft 6 in" or "107 cm"."""
    if system != "us":
        return f"{length_m * 100:.0f} cm"
    feet, inches = divmod(round(length_m * 100 / CM_PER_INCH), INCHES_PER_FOOT)
    return " ".join(part for part in (f"{feet} ft" if feet else "", f"{inches} in" if inches else "") if part) or "0 in"


def format_mass(mass_kg: float | None, system: str) -> str:
    """Write a body mass: 178 lb or 81 kg."""
    if mass_kg is None:
        return NOT_KNOWN
    return f"{mass_kg / KG_PER_POUND:.0f} lb" if system == "us" else f"{mass_kg:.0f} kg"


def format_ball_speed(speed_m_s: float | None, system: str, *, decimals: int = 1) -> str:
    """Write a ball speed: 84.6 mph or 136.2 km/h."""
    if speed_m_s is None:
        return NOT_KNOWN
    value, unit = convert_ball_speed(speed_m_s, system)
    return with_unit(format_number(value, decimals), unit)


def age_in_years_and_months(birth_date: date, on: date) -> tuple[int, int]:
    """Return completed years and months. Born on the 29th to 31st: the month is complete on the next 1st
    where it has no such day. Raises ValueError when `on` is before the birth date."""
    if on < birth_date:
        raise ValueError(f"{on} is before the birth date {birth_date}")
    months = (on.year - birth_date.year) * 12 + on.month - birth_date.month
    if on.day < birth_date.day:
        months -= 1
    return divmod(months, 12)


def format_age(birth_date: date | None, on: date) -> str:
    """Write an age: "16 y 2 m"."""
    if birth_date is None or on < birth_date:
        return NOT_KNOWN
    years, months = age_in_years_and_months(birth_date, on)
    return f"{years} y {months} m"


def format_days_old(measured_on: date, on: date) -> str:
    """Write how old a measurement is: "today", "1 day old", "12 days old"."""
    days = (on - measured_on).days
    if days < 0:
        return f"measured {-days} day{'' if days == -1 else 's'} later"
    if days == 0:
        return "today"
    return "1 day old" if days == 1 else f"{days:,} days old"
