"""Total arcs, side differences and ratios are computed when their parts are scored, and never typed."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pytest

from metrics.catalogue import load_catalogue
from metrics.catalogue.formulas import FORMULAS, derived_metrics, derived_value, is_only_rounded
from metrics.judging.values import Rule
from metrics.scoring import decide_session
from tests.metrics.scoring_cases import profile, session, throw

IR, IR_OTHER = "shoulder_ir_90_throwing", "shoulder_ir_90_other"
ER, ER_OTHER = "shoulder_er_90_throwing", "shoulder_er_90_other"
CATALOGUE = load_catalogue()


def rounds(*many: Mapping[str, float | str]):
    """One throw row a round: a number is a value, a text a reason."""
    return tuple(
        throw(
            place,
            {f"{key}@screen": {"reason": v} if isinstance(v, str) else {"value": float(v)} for key, v in one.items()},
            ball_speed_m_s=None,
        )
        for place, one in enumerate(many, start=1)
    )


def findings(*many, rules=(), **changes):
    facts = session(rounds(*many), **{"method": "hands_on", "landing": "unknown", **changes})
    return {one.metric: one for one in decide_session(facts, profile(*rules), CATALOGUE).findings}


def means(*many):
    return {key: one.measured.mean for key, one in findings(*many).items() if not math.isnan(one.measured.mean)}


# Worked by hand in the words of the catalogue: "other side minus throwing side", "throwing minus other", ...
BY_HAND = [
    ({IR: 45, ER: 110}, "shoulder_total_arc_throwing", 155),
    ({IR_OTHER: 60, ER_OTHER: 100}, "shoulder_total_arc_other", 160),
    ({IR: 45, ER: 110, IR_OTHER: 60, ER_OTHER: 100}, "shoulder_total_arc_deficit", 5),
    ({IR: 45, IR_OTHER: 60}, "shoulder_ir_deficit", 15),
    ({ER: 110, ER_OTHER: 100}, "shoulder_er_insufficiency", 10),
    (
        {"shoulder_horizontal_adduction_throwing": 2, "shoulder_horizontal_adduction_other": 14},
        "shoulder_horizontal_adduction_deficit",
        12,
    ),
    ({"shoulder_flexion_throwing": 168, "shoulder_flexion_other": 175}, "shoulder_flexion_deficit", 7),
    ({"hip_ir_front": 32, "hip_er_front": 40}, "hip_total_arc_front", 72),
    ({"hip_ir_back": 28, "hip_er_back": 41}, "hip_total_arc_back", 69),
    ({"trunk_rotation_seated_other": 55, "trunk_rotation_seated_throwing": 49}, "thoracic_rotation_asymmetry", 6),
    ({"elbow_extension_throwing": 8, "elbow_extension_other": 1}, "elbow_extension_deficit", 7),
    ({"grip_strength_throwing": 45, "grip_strength_other": 50}, "grip_strength_ratio", 90),
    ({"leg_strength_front": 12, "leg_strength_back": 16}, "leg_strength_ratio", 75),
]


@pytest.mark.parametrize(("parts", "metric", "value"), BY_HAND, ids=[case[1] for case in BY_HAND])
def test_a_derived_screen_is_what_its_definition_says(parts, metric, value):
    assert means(parts)[metric] == pytest.approx(value)


def test_every_derived_screen_has_a_case_by_hand():
    assert {metric for _, metric, _ in BY_HAND} == {metric.key for metric in derived_metrics(CATALOGUE)}


def test_a_loss_on_the_throwing_side_is_positive_where_high_is_the_word_for_loss():
    for key in ("shoulder_ir_deficit", "shoulder_total_arc_deficit", "shoulder_flexion_deficit"):
        metric = CATALOGUE.metric(key)
        assert metric.high_word.startswith("less")
        assert metric.derived_from[0].endswith("_other")
        assert metric.formula == "difference"


def test_rounds_are_computed_one_by_one():
    found = findings({IR: 45, IR_OTHER: 60}, {IR: 47, IR_OTHER: 61})["shoulder_ir_deficit"]
    assert (found.measured.n, found.measured.mean) == (2, 14.5)


def test_a_round_without_its_other_side_is_not_counted():
    found = findings({IR: 45, IR_OTHER: 60}, {IR: 47})["shoulder_ir_deficit"]
    assert (found.measured.n, found.measured.mean) == (1, 15)


def test_sides_of_different_rounds_come_together_by_their_means():
    found = findings({IR: 44}, {IR: 46}, {IR_OTHER: 60})["shoulder_ir_deficit"]
    assert (found.measured.n, found.measured.mean) == (1, 15)
    assert "means of its parts" in found.notes[0]


def test_one_side_alone_says_which_is_missing():
    found = findings({IR: 45, ER: 110})
    deficit = found["shoulder_ir_deficit"]
    assert (deficit.not_scored.code, deficit.verdict) == ("side_missing", None)
    assert "glove side" in deficit.not_scored.sentence
    assert "shoulder_total_arc_other" not in found
    assert found["shoulder_total_arc_deficit"].not_scored.code == "side_missing"


def test_one_of_two_rotations_alone_says_so():
    assert findings({"hip_ir_front": 30})["hip_total_arc_front"].not_scored.code == "part_missing"


def test_what_was_not_tested_because_of_pain_is_said_of_the_screen_and_of_all_that_hangs_on_it():
    found = findings({IR: "pain", IR_OTHER: 60, ER: 110, ER_OTHER: 100})
    for key in (IR, "shoulder_ir_deficit", "shoulder_total_arc_throwing", "shoulder_total_arc_deficit"):
        assert found[key].not_scored.code == "pain", key
        assert "Not tested: pain" in found[key].not_scored.sentence
    assert found["shoulder_total_arc_other"].measured.mean == 160


def test_pain_in_one_round_does_not_undo_what_another_measured_and_is_not_hidden():
    found = findings({IR: 45}, {IR: "pain"})[IR]
    assert found.measured.n == 1
    assert "1 round without a value: pain." in found.notes


def test_not_tested_is_another_reason_than_pain():
    assert findings({IR: "not_tested"})[IR].not_scored.sentence == "Not tested."


def test_a_ratio_to_nothing_is_no_number():
    found = findings({"leg_strength_front": 12, "leg_strength_back": 0})["leg_strength_ratio"]
    assert found.not_scored.code == "no_ratio"


def test_a_given_value_is_used_where_the_parts_are_not_there_and_is_said_to_be_given():
    found = findings({"shoulder_ir_deficit": 18})["shoulder_ir_deficit"]
    assert found.measured.mean == 18
    assert found.notes[0].startswith("A given value")


def test_a_given_value_gives_way_to_its_parts():
    found = findings({IR: 45, IR_OTHER: 60, "shoulder_ir_deficit": 30})["shoulder_ir_deficit"]
    assert found.measured.mean == 15
    assert "30" in found.notes[0]


def test_a_given_value_that_differs_by_rounding_needs_no_word():
    found = findings({IR: 45.4, IR_OTHER: 60.6, "shoulder_ir_deficit": 16})["shoulder_ir_deficit"]
    assert found.measured.mean == pytest.approx(15.2)
    assert found.notes == ()


def test_a_derived_screen_is_judged_like_any_other():
    rule = Rule(1, "shoulder_ir_deficit", "hands_on", target_high=15, flag_high=20)
    verdict = findings({IR: 30, IR_OTHER: 60}, rules=[rule])["shoulder_ir_deficit"].verdict
    assert (verdict.zone, verdict.side) == ("flag", "high")


def test_what_is_worked_out_from_the_person_is_no_finding_of_a_session():
    assert "bmi" not in findings({"bmi": 24, IR: 45})


def test_throws_of_other_capture_methods_derive_nothing():
    assert findings({IR: 45, IR_OTHER: 60}, method="motion_capture").keys() == {IR, IR_OTHER}


# --- the arithmetic


@pytest.mark.parametrize("formula", sorted(FORMULAS))
def test_slopes_are_those_of_the_values(formula):
    """Held against central differences."""
    value, slopes = FORMULAS[formula]
    step = 1e-5
    by_difference = (
        (value(40 + step, 50) - value(40 - step, 50)) / (2 * step),
        (value(40, 50 + step) - value(40, 50 - step)) / (2 * step),
    )
    assert slopes(40, 50) == pytest.approx(by_difference, rel=1e-6)


@pytest.mark.parametrize(("given", "same"), [(15, True), (16.5, True), (16.6, False), (13.5, True), (13.4, False)])
def test_whole_degrees_of_three_numbers_differ_by_one_and_a_half_at_most(given, same):
    metric = CATALOGUE.metric("shoulder_ir_deficit")
    assert is_only_rounded(metric, given, 60, 45, CATALOGUE) is same


def test_a_difference_turns_its_sign_with_its_sides_and_a_sum_does_not_care():
    difference, total = CATALOGUE.metric("shoulder_ir_deficit"), CATALOGUE.metric("hip_total_arc_front")
    assert derived_value(difference, 45, 60) == -derived_value(difference, 60, 45)
    assert derived_value(total, 45, 60) == derived_value(total, 60, 45)


@pytest.mark.parametrize(
    "metric", [m for m in derived_metrics(CATALOGUE) if m.formula != "percent"], ids=lambda m: m.key
)
def test_the_spread_of_a_derived_screen_is_what_its_parts_spreads_come_to(metric):
    """Independent parts: variances add (GUM 5.1.2). The catalogue writes one decimal."""
    parts = [CATALOGUE.metric(part).spread("hands_on") for part in metric.derived_from]
    spread = metric.spread("hands_on")
    assert spread.within_sd == pytest.approx(math.hypot(*(part.within_sd for part in parts)), abs=0.06)
    assert spread.session_sd <= math.hypot(*(part.session_sd for part in parts)) + 0.06


def test_parts_come_before_what_is_made_of_them():
    order = [metric.key for metric in derived_metrics(CATALOGUE)]
    assert order.index("shoulder_total_arc_deficit") > order.index("shoulder_total_arc_other")
