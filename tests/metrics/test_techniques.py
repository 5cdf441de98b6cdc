"""A range of a screen holds for the technique that it was written for; side differences hold for any."""

from __future__ import annotations

import pytest

from metrics.catalogue import load_catalogue
from metrics.catalogue.profiles import load_starting_profile
from metrics.comparable import same_measurement
from metrics.judging.ranges import index_rules
from metrics.judging.values import Rule, Thresholds
from metrics.match.words import DEFINITION_WORDS
from metrics.scoring import ProfileRules, decide_session
from sessions.models import CaptureSession
from tests.metrics.scoring_cases import session
from tests.metrics.test_derived_scoring import IR, IR_OTHER, rounds

CATALOGUE = load_catalogue()
HOUSE = [Rule(id=number, **values) for number, values in enumerate(load_starting_profile("house_starting").rules)]
TECHNIQUES = CATALOGUE.metric(IR).definitions


def turn_in(degrees, *, level, **definitions):
    """The finding of the throwing side's internal rotation, measured by a technique."""
    facts = session(rounds({IR: degrees}), method="hands_on", level=level, definitions=definitions)
    profile = ProfileRules(index_rules(HOUSE), Thresholds(), {}, {})
    return next(one for one in decide_session(facts, profile, CATALOGUE).findings if one.metric == IR)


# Clin Orthop Relat Res 2012 (PMC3348325), Table 3: professionals, mean and SD by technique.
@pytest.mark.parametrize(
    ("technique", "mean", "sd"),
    [
        ("scapula_held", 48, 11),
        ("table_stabilised", 54, 11),
        ("front_of_shoulder_held", 71, 12),
        ("blade_held_firmly", 19, 10),
    ],
)
def test_professionals_are_held_against_the_norm_of_the_technique_used(technique, mean, sd):
    applied = turn_in(mean, level="professional", **{IR: technique}).applied
    assert (applied.limits.target_low, applied.limits.target_high) == (mean - sd, mean + sd)
    assert applied.rule.definition == technique


def test_one_number_is_in_range_by_one_technique_and_flagged_by_another():
    assert turn_in(48, level="professional").verdict.zone == "in_range"
    assert turn_in(40, level="professional", **{IR: "front_of_shoulder_held"}).verdict.zone == "flag"
    assert turn_in(40, level="professional", **{IR: "scapula_held"}).verdict.zone == "in_range"


def test_a_technique_without_a_norm_is_not_scored_because_of_it():
    found = turn_in(54, level="high_school", **{IR: "table_stabilised"})
    assert found.not_scored.code == "other_definition"
    assert "table stabilised" in found.not_scored.sentence


def test_where_nobody_said_which_the_first_technique_is_taken_and_that_is_said():
    found = turn_in(54, level="high_school")
    assert found.applied.rule.definition == "scapula_held"
    assert any("scapula held" in note for note in found.notes)


def test_every_rule_of_a_screen_with_techniques_is_for_one_unless_its_cut_off_is_for_any():
    open_ones = {rule.metric for rule in HOUSE if CATALOGUE.metric(rule.metric).is_screen
                 and CATALOGUE.metric(rule.metric).definitions and not rule.definition}  # fmt: skip
    assert open_ones == {"hip_ir_front", "hip_ir_back"}  # “prone or seated” in the reference table


def test_side_differences_and_total_arcs_hold_for_any_technique():
    """They travel better than absolute values (reference tables, reading rule 7)."""
    derived = [metric for metric in CATALOGUE.screens if metric.derived_from]
    assert [metric.key for metric in derived if metric.definitions] == []


def test_both_sides_of_a_screen_have_the_same_techniques():
    for metric in CATALOGUE.screens:
        for side, other in (("_throwing", "_other"), ("_front", "_back")):
            if metric.key.endswith(side) and (twin := metric.key.removesuffix(side) + other) in CATALOGUE.metrics:
                assert CATALOGUE.metric(twin).definitions == metric.definitions


def test_every_technique_has_words_for_the_match_page():
    said = {one for metric in CATALOGUE.metrics.values() for one in metric.definitions}
    assert said <= DEFINITION_WORDS.keys()


# --- which sessions may be compared


def taken_by(**definitions):
    return CaptureSession(method="hands_on", definitions=definitions)


def test_a_screen_is_compared_only_with_one_of_the_same_technique():
    held, on_table = taken_by(**{IR: "scapula_held"}), taken_by(**{IR: "table_stabilised"})
    assert not same_measurement(CATALOGUE.metric(IR), held, on_table)
    assert same_measurement(CATALOGUE.metric(IR), held, taken_by(**{IR: "scapula_held"}))


def test_a_session_from_before_techniques_were_asked_counts_as_the_first_of_them():
    assert same_measurement(CATALOGUE.metric(IR), taken_by(), taken_by(**{IR: TECHNIQUES[0]}))
    assert not same_measurement(CATALOGUE.metric(IR), taken_by(), taken_by(**{IR: TECHNIQUES[1]}))


def test_a_difference_is_compared_when_both_its_sides_may_be():
    metric = CATALOGUE.metric("shoulder_total_arc_deficit")
    one, other = taken_by(), taken_by(**{IR_OTHER: "table_stabilised"})
    assert not same_measurement(metric, one, other)
    assert same_measurement(metric, one, taken_by())


def test_a_definition_that_a_throw_s_file_does_not_name_is_still_not_known():
    metric = CATALOGUE.metric("stride_length")
    named = CaptureSession(method="motion_capture", definitions={"stride_length": metric.definition_default})
    assert not same_measurement(metric, CaptureSession(method="motion_capture"), named)
