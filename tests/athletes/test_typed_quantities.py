"""What people type for heights, masses, lengths and speeds."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.quantities import format_ball_speed, format_height, format_mass
from athletes.typed_quantities import (
    Ambiguous,
    NotAQuantity,
    parse_arm_span,
    parse_ball_speed,
    parse_height,
    parse_length,
    parse_mass,
)

SYSTEMS = st.sampled_from(["us", "metric"])


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize(
    ("text", "height_cm"),
    [
        ("6'1\"", 185.42),
        ("6′1″", 185.42),
        ("6’ 1”", 185.42),
        ("6'1''", 185.42),
        ("6 ft 1", 185.42),
        ("6ft 1in", 185.42),
        ("6 feet 1 inch", 185.42),
        ("6-1", 185.42),
        ("6'", 182.88),
        ("6 ft", 182.88),
        ("5'10.5\"", 179.07),
        ("73 in", 185.42),
        ('73"', 185.42),
        ("185 cm", 185.0),
        ("185CM", 185.0),
        ("1.85 m", 185.0),
        ("1,85 m", 185.0),
        ("1850 mm", 185.0),
        (" 185  cm. ", 185.0),
    ],
)
def test_heights_with_a_unit_are_read_alike_in_both_systems(text, height_cm, system):
    assert parse_height(text, system) == pytest.approx(height_cm)


def test_a_bare_number_is_in_the_chosen_system():
    assert parse_height("73", "us") == pytest.approx(185.42)
    assert parse_height("185", "metric") == 185
    assert parse_mass("178", "us") == pytest.approx(80.739, abs=0.001)
    assert parse_mass("81", "metric") == 81
    assert parse_ball_speed("84.6", "us") == pytest.approx(37.82, abs=0.001)
    assert parse_ball_speed("136", "metric") == pytest.approx(37.78, abs=0.01)
    assert parse_length("4.5", "us") == pytest.approx(11.43)
    assert parse_length("-3", "metric") == -3


@pytest.mark.parametrize(
    ("text", "system", "suggestions"),
    [
        ("6", "metric", ("6 ft",)),
        ("72", "metric", ("72 in",)),
        ("1.85", "metric", ("1.85 m",)),
        ("1.85", "us", ("1.85 m",)),
        ("185", "us", ("185 cm",)),
        ("6", "us", ("6 ft",)),
        ("6.1", "metric", ("6′1″", "73.2 in")),
        ("5.11", "us", ("5′11″", "61.3 in")),
    ],
)
def test_a_suspicious_height_is_a_question_with_readings_to_choose(text, system, suggestions):
    answer = parse_height(text, system)
    assert isinstance(answer, Ambiguous)
    assert answer.suggestions == suggestions
    assert answer.sentence.endswith("?")


@pytest.mark.parametrize("text", ["5.11 ft", "6.1 feet"])
def test_feet_with_a_point_are_a_question(text):
    assert isinstance(parse_height(text, "us"), Ambiguous)


def test_half_a_foot_spelled_with_two_digits_is_no_question():
    assert parse_height("5.75 ft", "us") == pytest.approx(175.26)


@pytest.mark.parametrize("text", ["6", "72", "1.85", "5.11", "185"])
@pytest.mark.parametrize("system", ["us", "metric"])
def test_every_suggestion_is_read_without_a_further_question(text, system):
    answer = parse_height(text, system)
    if isinstance(answer, Ambiguous):
        for suggestion in answer.suggestions:
            assert isinstance(parse_height(suggestion, system), float)


def test_a_mass_in_pounds_among_kilograms_is_a_question():
    assert parse_mass("178", "metric") == Ambiguous("A mass of 178 kg cannot be. Did you mean 178 lb?", ("178 lb",))


@pytest.mark.parametrize(
    ("parse", "text"),
    [
        (parse_height, ""),
        (parse_height, "tall"),
        (parse_height, "6'14\""),
        (parse_height, "6 cm"),
        (parse_height, "12 ft"),
        (parse_height, "185 kg"),
        (parse_height, "0"),
        (parse_height, "nan"),
        (parse_height, "1e9"),
        (parse_height, "-185 cm"),
        (parse_mass, "900 kg"),
        (parse_mass, "81 cm"),
        (parse_mass, "5"),
        (parse_ball_speed, "400 mph"),
        (parse_ball_speed, "84 lb"),
        (parse_arm_span, "30 in"),
    ],
)
def test_what_is_no_quantity_says_what_to_write(parse, text):
    with pytest.raises(NotAQuantity) as error:
        parse(text, "us")
    assert error.value.sentence.endswith(".")
    assert len(error.value.sentence) > 20


@given(inches=st.integers(40, 90), system=SYSTEMS)
def test_heights_as_we_write_them_are_read_back(inches, system):
    height_cm = inches * 2.54
    assert parse_height(format_height(height_cm, "us"), system) == pytest.approx(height_cm)
    assert parse_height(format_height(height_cm, "metric"), system) == pytest.approx(height_cm, abs=0.51)


@given(mass_kg=st.floats(25, 150), system=SYSTEMS)
def test_masses_as_we_write_them_are_read_back(mass_kg, system):
    assert parse_mass(format_mass(mass_kg, "us"), system) == pytest.approx(mass_kg, abs=0.24)
    assert parse_mass(format_mass(mass_kg, "metric"), system) == pytest.approx(mass_kg, abs=0.51)


@given(speed=st.floats(10, 49), system=SYSTEMS)
def test_ball_speeds_as_we_write_them_are_read_back(speed, system):
    for written_in in ("us", "metric"):
        assert parse_ball_speed(format_ball_speed(speed, written_in), system) == pytest.approx(speed, abs=0.03)


@given(text=st.text(max_size=30), system=SYSTEMS)
def test_any_text_is_a_plausible_number_a_question_or_a_sentence(text, system):
    try:
        answer = parse_height(text, system)
    except NotAQuantity:
        return
    assert isinstance(answer, Ambiguous) or 100 <= answer <= 230
