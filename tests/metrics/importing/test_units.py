"""Units against their definitions and hand-worked values.

Exact by definition: inch, foot, mile, pound (international yard and pound agreement, 1959), standard
gravity (third General Conference on Weights and Measures, 1901). The factors of NIST SP 811,
appendix B, are quoted from memory.
"""

import math
from dataclasses import dataclass

import pytest

from metrics.importing.units import (
    Conversion,
    UnitDoesNotFit,
    canonical_units,
    conversion,
    factor_between,
    parse_unit,
)


@dataclass(frozen=True)
class Kept:
    """The two things that a conversion asks of a metric."""

    unit: str
    name: str = "The metric"


def converted(from_unit, metric_unit, number):
    found = conversion(from_unit, Kept(metric_unit))
    assert isinstance(found, Conversion), found
    return found.apply(number), found.storage_unit


@pytest.mark.parametrize(
    ("from_unit", "metric_unit", "number", "expected", "storage_unit"),
    [
        ("rad", "deg", math.pi, 180.0, "deg"),
        ("rad/s", "deg/s", 10.0, 572.9577951308232, "deg/s"),  # 1800/π
        ("in", "% height", 60.0, 1.524, "m"),  # 60 × 0.0254
        ("ft", "% height", 5.0, 1.524, "m"),  # 5 × 0.3048
        ("cm", "% height", 152.4, 1.524, "m"),
        ("%", "% height", 82.5, 82.5, "% height"),
        ("× BH", "% height", 0.825, 82.5, "% height"),
        ("ratio", "% height", 0.825, 82.5, "% height"),
        ("in", "cm", 10.0, 25.4, "cm"),
        ("mm", "cm", 254.0, 25.4, "cm"),
        ("mph", "m/s", 90.0, 40.2336, "m/s"),  # 90 × 0.44704
        ("km/h", "m/s", 144.0, 40.0, "m/s"),
        ("ft/s", "m/s", 10.0, 3.048, "m/s"),
        ("s", "ms", 0.025, 25.0, "ms"),
        ("ms", "s", 145.0, 0.145, "s"),
        ("lbf", "N", 100.0, 444.82216152605, "N"),  # NIST SP 811: 4.448 222 N
        ("lbs", "N", 100.0, 444.82216152605, "N"),
        ("kN", "N", 0.9, 900.0, "N"),
        ("ft-lbs", "N·m", 50.0, 67.79089741657, "N·m"),  # NIST SP 811: 1.355 818 N·m
        ("in-lb", "N·m", 600.0, 67.79089741657, "N·m"),  # twelve inches a foot
        ("lb", "kg", 200.0, 90.718474, "kg"),
        ("BW", "% body weight", 1.35, 135.0, "% body weight"),
        ("% BW*H", "% weight × height", 4.2, 4.2, "% weight × height"),
        ("ratio", "% weight × height", 0.042, 4.2, "% weight × height"),
        ("%", "% fc-br", 78.0, 78.0, "% fc-br"),
    ],
)
def test_numbers_are_converted_by_definition(from_unit, metric_unit, number, expected, storage_unit):
    value, unit = converted(from_unit, metric_unit, number)
    assert value == pytest.approx(expected, rel=1e-12)
    assert unit == storage_unit


CATALOGUE_UNITS = [
    "deg",
    "deg/s",
    "% height",
    "m",
    "cm",
    "m/s",
    "s",
    "ms",
    "N",
    "N·m",
    "%",
    "% fc-br",
    "% body weight",
    "% weight × height",
    "N·s/kg",
    "count",
    "kg",
    "mm",
]


@pytest.mark.parametrize("unit", CATALOGUE_UNITS)
def test_a_metric_in_its_own_unit_is_left_alone(unit):
    assert converted(unit, unit, 12.25) == (12.25, unit)


@pytest.mark.parametrize(
    "quantity", ["angle", "angular_velocity", "length", "speed", "time", "force", "torque", "mass"]
)
def test_every_unit_there_and_back_is_the_same_number(quantity):
    for one in canonical_units(quantity):
        for other in canonical_units(quantity):
            there, back = factor_between(one, other), factor_between(other, one)
            assert there * back == pytest.approx(1.0, rel=1e-14)


def test_units_of_one_quantity_form_a_chain():
    # (ft → in) · (in → cm) = (ft → cm): 12 × 2.54 = 30.48.
    assert factor_between("ft", "in") * factor_between("in", "cm") == pytest.approx(30.48, rel=1e-14)
    assert factor_between("ft", "cm") == pytest.approx(30.48, rel=1e-14)


@pytest.mark.parametrize(
    ("spellings", "canonical"),
    [
        (["deg", "°", "degrees", "Degree", "º", "(deg)", "[°]"], "deg"),
        (["rad", "radians", "RAD"], "rad"),
        (["deg/s", "°/s", "dps", "deg/sec", "degrees per second", "deg·s⁻¹", "deg s-1", "º/sec"], "deg/s"),
        (["rad/s", "rad/sec", "rad s^-1", "radians/second"], "rad/s"),
        (["m", "meters", "metre", "M"], "m"),
        (["in", "inch", "inches", '"'], "in"),
        (["ft", "feet", "'"], "ft"),
        (["% height", "%BH", "%ht", "% of height", "percent height", "% body height", "pct BH"], "% height"),
        (["m/s", "m·s⁻¹", "m/sec", "metres per second", "m s-1"], "m/s"),
        (["mph", "MPH", "mi/h", "miles per hour"], "mph"),
        (["km/h", "kph", "kmh"], "km/h"),
        (["ms", "msec", "milliseconds"], "ms"),
        (["s", "sec", "seconds"], "s"),
        (["N", "newtons"], "N"),
        (["lbf", "pound-force"], "lbf"),
        (["Nm", "N·m", "N*m", "N-m", "newton metre", "Newton meters"], "N·m"),
        (["% BW", "%bw", "% body weight", "% of body weight"], "% body weight"),
        (["%BW*H", "% BW x H", "%BWH", "% weight × height"], "% weight × height"),
        (["kg", "kilograms"], "kg"),
        (["lb", "lbs", "pounds"], "lb"),
        (["count", "#"], "count"),
    ],
)
def test_spellings_of_one_unit_are_one_unit(spellings, canonical):
    assert {text: parse_unit(text) and parse_unit(text).canonical for text in spellings} == dict.fromkeys(
        spellings, canonical
    )


@pytest.mark.parametrize(
    ("from_unit", "metric_unit"),
    [
        ("N", "deg"),
        ("deg", "deg/s"),
        ("m/s", "deg/s"),
        ("ms", "% fc-br"),
        ("N", "% body weight"),
        ("kg", "m"),
        ("furlongs", "% height"),
        ("deg", "class"),
    ],
)
def test_a_unit_that_does_not_fit_says_so_in_a_sentence(from_unit, metric_unit):
    found = conversion(from_unit, Kept(metric_unit, name="Stride length"))
    assert isinstance(found, UnitDoesNotFit)
    assert "Stride length" in found.sentence
    assert found.sentence.endswith(".")


def test_no_unit_is_read_as_the_metrics_own_and_says_so():
    found = conversion("", Kept("deg"))
    assert (found.factor, found.offset) == (1.0, 0.0)
    assert "no unit" in found.words


def test_an_inner_angle_in_radians_becomes_flexion_in_degrees():
    # Straight elbow: inner angle π, flexion 0. Right angle: π/2, flexion 90.
    inner = conversion("rad", Kept("deg")).then(-1.0, 180.0, "180 − angle")
    assert inner.apply(math.pi) == pytest.approx(0.0, abs=1e-12)
    assert inner.apply(math.pi / 2) == pytest.approx(90.0, rel=1e-12)
