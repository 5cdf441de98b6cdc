"""What keeps a profile from being saved, each with its sentence."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from metrics.judging.conflicts import find_conflicts
from metrics.judging.values import Rule

GOOD = Rule(1, "stride_length", target_low=70.0, target_high=90.0, flag_low=60.0, flag_high=100.0)
SIZED = replace(GOOD, size_basis="height", size_ref=170.0, size_low=150.0, size_high=190.0)


def codes(*rules, **options):
    return [one.code for one in find_conflicts(rules, **options)]


def test_sound_profile_has_no_conflicts():
    assert codes() == []
    assert codes(GOOD, replace(GOOD, id=2, level="youth"), replace(GOOD, id=3, method="video"), SIZED) == []
    assert codes(Rule(1, "m", target_low=10.0, flag_low=5.0)) == []


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"target_low": 95.0}, "reversed_limits", "target_low"),
        ({"target_low": 90.0}, "reversed_limits", "target_low"),
        ({"flag_low": 75.0}, "flag_inside_target", "flag_low"),
        ({"flag_high": 85.0}, "flag_inside_target", "flag_high"),
        ({"target_low": None}, "flag_without_target", "target_low"),
        ({"target_high": math.nan}, "not_a_number", "target_high"),
        ({"flag_high": math.inf}, "not_a_number", "flag_high"),
        ({"source_sd": 0.0}, "not_positive", "source_sd"),
        ({"status": "guess"}, "unknown_word", "status"),
        ({"level": "pro"}, "unknown_word", "level"),
        ({"landing": "unknown"}, "unknown_word", "landing"),
        ({"slope_flag_low": 0.1}, "slope_without_basis", "size_basis"),
        ({"flag_low": None, "target_low": None, "target_high": None, "flag_high": None}, "no_target", "target_low"),
    ],
)
def test_fault_of_one_rule_is_named_with_its_field(changes, code, field):
    [conflict] = find_conflicts([replace(GOOD, **changes)])

    assert (conflict.code, conflict.field, conflict.rule_ids) == (code, field, (1,))
    assert conflict.sentence.endswith(".")


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"slope_target_low": 1.5}, "reversed_limits"),  # at 190 cm the low end would be 100
        ({"slope_flag_low": 0.6}, "flag_inside_target"),  # at 190 cm the flag limit would be 72
        ({"slope_flag_low": 0.1, "size_ref": None}, "no_reference_size"),
        ({"slope_flag_low": 0.1, "size_high": None}, "open_interval"),
        ({"size_low": 190.0, "size_high": 150.0}, "reversed_interval"),
    ],
)
def test_limits_are_checked_at_both_ends_of_the_size_interval(changes, code):
    assert code in codes(replace(SIZED, **changes))


def test_open_side_without_watch_zone_needs_a_unit():
    edge = Rule(1, "m", target_low=10.0, flag_low=10.0)

    assert codes(edge) == ["unit_missing"]
    assert codes(Rule(1, "m", target_low=10.0)) == ["unit_missing"]
    assert codes(replace(edge, unit_low=4.0)) == []
    assert codes(replace(edge, target_high=20.0)) == []  # half the target's width serves


def test_twins_can_both_win():
    [conflict] = find_conflicts([GOOD, replace(GOOD, id=2)])

    assert (conflict.code, conflict.rule_ids) == ("overlap", (1, 2))


@pytest.mark.parametrize(
    "pair",
    [
        ({"pitch_type": "fastball"}, {"surface": "mound"}),
        ({"intent": "full_effort", "ball": "regulation"}, {"pitch_type": "fastball", "surface": "mound"}),
    ],
)
def test_rules_for_different_conditions_that_can_hold_together_overlap(pair):
    assert codes(*(replace(GOOD, id=i, **changes) for i, changes in enumerate(pair))) == ["overlap"]


@pytest.mark.parametrize(
    "pair",
    [
        ({"level": "youth"}, {"level": "college"}),
        ({"pitch_type": "fastball"}, {"pitch_type": "slider"}),
        ({"pitch_type": "fastball"}, {}),
        ({"status": "published"}, {"status": "house_opinion"}),
        ({"landing": "fc"}, {"landing": "fp"}),
        ({"definition": "a"}, {"definition": "b"}),
        ({"filter_hz": 13.4}, {"filter_hz": 20.0}),
        ({"metric": "other"}, {}),
    ],
)
def test_rules_that_are_told_apart_do_not_overlap(pair):
    assert codes(*(replace(GOOD, id=i, **changes) for i, changes in enumerate(pair))) == []


def test_filters_tell_apart_only_metrics_that_depend_on_them():
    pair = replace(GOOD, id=2, filter_hz=13.4), replace(GOOD, id=3, filter_hz=20.0)

    assert codes(*pair, filter_dependent={"stride_length"}) == []
    assert codes(*pair, filter_dependent=set()) == ["overlap"]


def test_size_intervals_may_touch_but_not_overlap():
    lower = replace(SIZED, id=2, size_low=150.0, size_high=170.0)

    assert codes(lower, replace(SIZED, id=3, size_low=170.0, size_high=190.0)) == []
    assert codes(lower, replace(SIZED, id=3, size_low=169.0, size_high=190.0)) == ["overlap"]
    assert codes(lower, replace(SIZED, id=3, size_basis="mass", size_low=60.0, size_high=90.0)) == ["overlap"]
