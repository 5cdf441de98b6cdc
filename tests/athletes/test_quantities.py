"""Quantities as people read them."""

from datetime import date

import pytest
import scipy.constants
from hypothesis import given
from hypothesis import strategies as st

from athletes import quantities as q


@pytest.mark.parametrize(
    ("ours", "definition"),
    [
        # NIST Special Publication 811 (2008), appendix B.8: exact factors, printed in bold.
        (q.CM_PER_INCH, 2.54),
        (q.KG_PER_POUND, 0.45359237),
        (q.M_PER_MILE, 1609.344),
        (q.M_S_PER_MPH, 0.44704),
        # pound-force: the pound times standard gravity, 9.80665 m/s² (same publication, B.8)
        (q.N_PER_POUND_FORCE, 0.45359237 * 9.80665),
    ],
)
def test_factors_equal_their_definitions(ours, definition):
    assert ours == pytest.approx(definition, rel=1e-15)


@pytest.mark.parametrize(
    ("ours", "reference"),
    [
        (q.CM_PER_INCH / 100, scipy.constants.inch),
        (q.CM_PER_INCH * q.INCHES_PER_FOOT / 100, scipy.constants.foot),
        (q.KG_PER_POUND, scipy.constants.pound),
        (q.M_PER_MILE, scipy.constants.mile),
        (q.M_S_PER_MPH, scipy.constants.mph),
        (q.M_S_PER_KM_H, scipy.constants.kmh),
        (q.N_PER_POUND_FORCE, scipy.constants.lbf),
    ],
)
def test_factors_equal_the_reference_librarys(ours, reference):
    assert ours == pytest.approx(reference, rel=1e-14)


@pytest.mark.parametrize(
    ("half_width", "decimals"),
    [
        (0.05, 2),
        (0.17, 2),
        (0.5, 1),
        (0.94, 1),
        (1.0, 1),
        (1.7, 1),
        (2.0, 0),
        (4.2, 0),
        (9.9, 0),
        (10.0, 0),
        (19.0, 0),
        (30.0, -1),
        (235.0, -2),
    ],
)
def test_decimals_that_an_uncertainty_supports(half_width, decimals):
    assert q.decimals_supported(half_width) == decimals


@given(half_width=st.floats(1e-6, 1e6), value=st.floats(-1e4, 1e4))
def test_rounding_never_moves_a_value_by_more_than_a_quarter_of_its_uncertainty(half_width, value):
    assert abs(round(value, q.decimals_supported(half_width)) - value) <= 0.26 * half_width + 1e-9


@pytest.mark.parametrize(
    ("value", "unit", "system", "options", "expected"),
    [
        (44.2, "deg", "us", {"u": 2}, "44°"),
        (-7.1, "deg", "us", {"u": 2, "decimals": 0}, "−7°"),
        (4.2, "ms", "us", {"u": 3.5, "signed": True, "decimals": 0}, "+4 ms"),
        (6482.0, "deg/s", "us", {"u": 20}, "6,480°/s"),
        (0.0411, "m", "us", {"u": 0.022, "signed": True}, "+1.6 in"),
        (4.11, "cm", "metric", {"u": 2.2, "signed": True}, "+4 cm"),
        (71.3, "% height", "us", {"u": 1, "decimals": 0}, "71%"),
        (71.3, "% height", "us", {"u": 1, "decimals": 0, "full": True}, "71% of height"),
        (5.2, "% weight × height", "us", {"decimals": 1, "full": True}, "5.2 % weight × height"),
        (940.0, "N", "us", {"u": 30}, "940 N"),
        (-0.3, "deg", "us", {"decimals": 0}, "0°"),
        (-0.3, "deg", "us", {"decimals": 0, "signed": True}, "0°"),
        (12.0, "count", "us", {"decimals": 0}, "12"),
        (None, "deg", "us", {}, "not known"),
        (float("nan"), "deg", "us", {}, "not known"),
    ],
)
def test_values_carry_their_unit_and_no_more_digits_than_supported(value, unit, system, options, expected):
    assert q.format_quantity(value, unit, system, **options) == expected


@pytest.mark.parametrize(
    ("u", "unit", "system", "decimals", "expected"),
    [
        (2.0, "deg", "us", 0, "± 4"),
        (0.022, "m", "us", None, "± 1.7"),
        (0.1, "deg", "us", 0, "± under 1"),
        (0.0, "deg", "us", 0, "± 0"),
        (None, "deg", "us", 0, ""),
    ],
)
def test_half_width_is_196_u(u, unit, system, decimals, expected):
    assert q.format_half_width(u, unit, system, decimals=decimals) == expected


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [(38, 54, "38 to 54"), (None, 54, "up to 54"), (38, None, "from 38"), (None, None, ""), (-4, 2.8, "−4 to 3")],
)
def test_spans(low, high, expected):
    assert q.format_span(low, high, "deg", "us") == expected


def test_spans_turn_into_the_readers_unit():
    assert q.format_span(-0.1, 0.07, "m", "us", decimals=2) == "−3.9 to 2.8"


@pytest.mark.parametrize(
    ("height_cm", "system", "expected"),
    [(185.42, "us", "6′1″"), (185.42, "metric", "185 cm"), (182.0, "us", "6′0″"), (None, "us", "not known")],
)
def test_heights(height_cm, system, expected):
    assert q.format_height(height_cm, system) == expected


def test_masses_and_speeds():
    assert q.format_mass(80.74, "us") == "178 lb"
    assert q.format_mass(80.74, "metric") == "81 kg"
    assert q.format_ball_speed(37.82, "us") == "84.6 mph"
    assert q.format_ball_speed(37.82, "metric") == "136.2 km/h"


def test_lengths_for_a_family_are_feet_and_inches():
    assert q.format_feet_inches(1.0668, "us") == "3 ft 6 in"
    assert q.format_feet_inches(1.2192, "us") == "4 ft"
    assert q.format_feet_inches(0.254, "us") == "10 in"
    assert q.format_feet_inches(1.07, "metric") == "107 cm"


@pytest.mark.parametrize(
    ("born", "on", "expected"),
    [
        (date(2010, 2, 3), date(2026, 4, 14), "16 y 2 m"),
        (date(2010, 4, 14), date(2026, 4, 14), "16 y 0 m"),
        (date(2010, 4, 15), date(2026, 4, 14), "15 y 11 m"),
        (date(2012, 2, 29), date(2025, 2, 28), "12 y 11 m"),
        (date(2012, 2, 29), date(2025, 3, 1), "13 y 0 m"),
        (date(2027, 1, 1), date(2026, 4, 14), "not known"),
        (None, date(2026, 4, 14), "not known"),
    ],
)
def test_ages_in_completed_years_and_months(born, on, expected):
    assert q.format_age(born, on) == expected


def test_age_before_birth_is_an_error_for_code():
    with pytest.raises(ValueError, match="before the birth date"):
        q.age_in_years_and_months(date(2026, 1, 2), date(2026, 1, 1))


@pytest.mark.parametrize(
    ("day", "expected"), [(14, "today"), (13, "1 day old"), (2, "12 days old"), (15, "measured 1 day later")]
)
def test_how_old_a_measurement_is(day, expected):
    assert q.format_days_old(date(2026, 4, day), date(2026, 4, 14)) == expected


def test_said_numbers_have_no_signs_that_a_screen_reader_skips():
    assert q.say_quantity("−7", "deg", -7) == "minus 7 degrees"
    assert q.say_quantity("1", "in", 1) == "1 inch"
    assert q.say_quantity("2", "lb", 2) == "2 pounds"
