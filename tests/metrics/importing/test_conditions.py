"""Conditions as tables word them."""

import pytest

from metrics.importing.cells import Unreadable
from metrics.importing.conditions import PLAIN_PITCH, Conditions, read_condition, read_exclusion


@pytest.mark.parametrize(
    ("field", "cell", "meaning"),
    [
        ("pitch_type", "FB", "fastball"),
        ("pitch_type", "4-Seam", "fastball"),
        ("pitch_type", "Two-Seam Fastball", "fastball"),
        ("pitch_type", "curve", "curveball"),
        ("pitch_type", "SL", "slider"),
        ("pitch_type", "Change Up", "changeup"),
        ("pitch_type", "splitter", "other"),
        ("intent", "Max Effort", "full_effort"),
        ("intent", "warm-up", "warm_up"),
        ("intent", "submax", "controlled"),
        ("surface", "Mound", "mound"),
        ("surface", "flat ground", "flat_ground"),
        ("ball", "Regulation", "regulation"),
        ("ball", "plyo", "weighted"),
    ],
)
def test_words_of_the_trade_are_read(field, cell, meaning):
    assert getattr(read_condition(field, cell), field) == meaning


@pytest.mark.parametrize(
    ("cell", "intent", "percent"),
    [("80%", "controlled", 80), (80.0, "controlled", 80), (0.8, "controlled", 80), ("100%", "full_effort", 100)],
)
def test_effort_in_percent_is_controlled_below_a_hundred(cell, intent, percent):
    found = read_condition("intent", cell)
    assert (found.intent, found.intent_percent) == (intent, pytest.approx(percent))


@pytest.mark.parametrize(
    ("cell", "ball", "kilograms"),
    [
        # An ounce is 28.349523125 g by definition.
        (5.0, "regulation", 0.141747615625),
        ("5 1/4 oz", "regulation", 0.141747615625),
        ("149 g", "regulation", 0.149),
        ("7oz", "weighted", 0.198446661875),
        (4.0, "weighted", 0.1133980925),
        (200.0, "weighted", 0.2),
        ("1 lb", "weighted", 0.45359237),
    ],
)
def test_a_ball_is_regulation_by_its_mass(cell, ball, kilograms):
    found = read_condition("ball", cell)
    assert (found.ball, found.ball_mass) == (ball, pytest.approx(kilograms))


def test_unknown_words_and_blanks_are_told_apart():
    assert read_condition("pitch_type", "gyro thing") == Unreadable("unknown_word")
    assert read_condition("pitch_type", None) is None
    assert read_condition("surface", "") is None


def test_what_a_throw_says_goes_over_the_defaults_and_the_rest_stays():
    assert Conditions(pitch_type="slider").over(PLAIN_PITCH) == Conditions(
        "slider", "full_effort", "mound", "regulation"
    )
    eighty = Conditions(intent="controlled", intent_percent=80.0)
    assert eighty.over(PLAIN_PITCH).intent_percent == 80.0
    assert Conditions(intent="full_effort").over(eighty).intent_percent is None


@pytest.mark.parametrize(
    ("cell", "marks", "reason"),
    [
        ("x", "excluded", "marked in the file"),
        (True, "excluded", "marked in the file"),
        (1.0, "excluded", "marked in the file"),
        ("slipped", "excluded", "slipped"),
        ("no", "excluded", ""),
        ("good", "excluded", ""),
        ("yes", "included", ""),
        ("no", "included", "marked in the file"),
        (False, "included", "marked in the file"),
        (None, "included", None),
    ],
)
def test_marks_of_excluded_and_of_included_throws_mean_opposite_things(cell, marks, reason):
    assert read_exclusion(cell, marks=marks) == reason
