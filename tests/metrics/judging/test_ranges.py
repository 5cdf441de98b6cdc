"""Which rule applies: order of specificity, what a rule was written for, body size, reasons."""

from __future__ import annotations

import datetime
import math
from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from metrics.judging.conflicts import find_conflicts
from metrics.judging.ranges import LANDING_HALF_WINDOW_S, index_rules, resolve_rule
from metrics.judging.values import Applied, BodySize, Conditions, Limits, NotScored, Rule

BASE = Rule("base", "stride_length", target_low=70.0, target_high=90.0, flag_low=60.0, flag_high=100.0)
SIZE = BodySize(height_cm=180.0, mass_kg=80.0, height_date=datetime.date(2024, 3, 1))
CASE = {
    "metric": "stride_length",
    "method": "motion_capture",
    "level": "college",
    "conditions": Conditions(),
    "body_size": SIZE,
}


def rule(name, **changes):
    return replace(BASE, id=name, **changes)


def resolve(rules, **changes):
    return resolve_rule(rules, **{**CASE, **changes})


def winner(rules, **changes):
    got = resolve(rules, **changes)
    assert isinstance(got, Applied), got
    return got.rule.id


def reason(rules, **changes):
    got = resolve(rules, **changes)
    assert isinstance(got, NotScored), got
    assert got.sentence.endswith(".")
    return got.code


LADDER = [
    rule("method", method="motion_capture"),
    rule("conditions", pitch_type="fastball"),
    rule("level", level="college"),
    rule("size", size_basis="height", size_low=170.0, size_high=190.0),
    rule("published", status="published"),
    rule("memory", status="from_memory"),
    rule("practice", status="common_practice"),
    rule("opinion", status="house_opinion"),
]


@pytest.mark.parametrize("step", range(len(LADDER) - 1))
def test_each_step_of_the_ladder_beats_all_that_follow(step):
    for order in (LADDER[step:], LADDER[step:][::-1]):
        assert winner(order) == LADDER[step].id


def test_method_beats_everything_else_together():
    rich = rule(
        "rich",
        pitch_type="fastball",
        intent="full_effort",
        level="college",
        size_basis="height",
        size_low=170.0,
        size_high=190.0,
        status="published",
    )

    assert winner([rich, rule("method", method="motion_capture")]) == "method"


def test_weight_on_the_foot_comes_before_first_touch():
    rules = [rule("touch", landing="fc"), rule("plant", landing="fp")]
    at_both = {"landing_dependent": True, "available_landings": {"fc", "fp"}}

    assert winner(rules, **at_both) == "plant"
    assert winner([rule("touch", landing="fc", status="published"), rules[1]], **at_both) == "touch"


def test_rule_judges_the_reading_at_its_own_moment():
    got = resolve([rule("touch", landing="fc")], landing_dependent=True, available_landings=["fp", "fc"])

    assert (got.landing, got.u_open_event) == ("fc", 0.0)


def test_rule_whose_moment_was_not_read_cannot_apply():
    rules = [rule("touch", landing="fc", status="published"), rule("plant", landing="fp")]

    assert winner(rules, landing_dependent=True, available_landings=["fp"]) == "plant"
    assert reason(rules[:1], landing_dependent=True, available_landings=["fp"]) == "other_landing"
    assert reason([rule("any")], landing_dependent=True, available_landings=[]) == "other_landing"


@pytest.mark.parametrize("landing", ["fc", "fp", None])
def test_landing_that_nobody_named_is_judged_with_an_open_event(landing):
    got = resolve(
        [rule("r", landing=landing)],
        landing_dependent=True,
        available_landings=["unknown"],
        landing_rate=-500.0,
    )

    # By hand: 500 deg/s for ±0.020 s is ±10 deg; a rectangle's standard uncertainty is 10/√3.
    assert got.landing == "unknown"
    assert LANDING_HALF_WINDOW_S == 0.020
    assert got.u_open_event == pytest.approx(10 / math.sqrt(3))
    assert "not known" in got.notes[0]


def test_rule_that_names_no_landing_is_an_open_event_too():
    got = resolve([rule("r")], landing_dependent=True, available_landings=["fc", "fp"], landing_rate=100.0)

    assert (got.landing, got.u_open_event) == ("fp", pytest.approx(2 / math.sqrt(3)))


def test_open_landing_without_a_known_rate_is_not_scored():
    case = {"landing_dependent": True, "available_landings": ["unknown"]}

    assert reason([rule("r", landing="fc")], **case) == "landing_unknown"


def test_metric_that_does_not_hang_on_the_landing_ignores_it():
    got = resolve([rule("r", landing="fc")])

    assert (got.landing, got.u_open_event) == ("", 0.0)


def test_filter_counts_only_for_filter_dependent_metrics():
    rules = [rule("r", filter_hz=13.4)]

    assert winner(rules, filter_hz=None) == "r"
    assert winner(rules, filter_dependent=True, filter_hz=13.4) == "r"
    assert reason(rules, filter_dependent=True, filter_hz=20.0) == "other_filter"
    assert reason(rules, filter_dependent=True, filter_hz=None) == "other_filter"
    assert winner([*rules, rule("any")], filter_dependent=True, filter_hz=20.0) == "any"


def test_definition_must_not_differ_and_an_unknown_one_is_noted():
    rules = [rule("ankle", definition="ankle to ankle"), rule("rubber", definition="rubber to heel")]

    assert winner(rules, definition="rubber to heel") == "rubber"
    assert reason(rules[:1], definition="rubber to heel") == "other_definition"
    got = resolve(rules, definition=None, default_definition="rubber to heel")
    assert got.rule.id == "rubber"
    assert "rubber to heel" in got.notes[0]


@pytest.mark.parametrize(
    ("only", "code"),
    [
        (rule("r", metric="other"), "no_rule"),
        (rule("r", method="video"), "no_rule_for_method"),
        (rule("r", level="youth"), "no_rule_for_level"),
        (rule("r", ball="weighted"), "no_rule_for_conditions"),
        (rule("r", size_basis="arm_span", size_low=1.0, size_high=9.0), "body_size_missing"),
    ],
)
def test_reason_names_the_first_thing_that_no_rule_meets(only, code):
    assert reason([only]) == code


def test_condition_that_is_not_known_meets_no_rule_that_asks_for_it():
    mixed = Conditions(pitch_type=None)

    assert reason([rule("r", pitch_type="fastball")], conditions=mixed) == "no_rule_for_conditions"
    assert winner([rule("r")], conditions=mixed) == "r"


GROWING = rule(
    "growing",
    size_basis="height",
    size_ref=180.0,
    size_low=160.0,
    size_high=190.0,
    slope_target_low=0.5,
    slope_target_high=1.0,
    slope_flag_low=0.25,
    slope_flag_high=2.0,
    source_mean=80.0,
    source_sd=10.0,
)


def test_limits_and_source_mean_move_with_height_inside_the_interval():
    got = resolve([GROWING], body_size=BodySize(height_cm=170.0, height_date=datetime.date(2024, 1, 5)))

    # By hand, 10 cm under the reference: 70-5, 90-10, 60-2.5, 100-20; the mean by the average slope 0.75.
    assert (got.limits.target_low, got.limits.target_high) == (65.0, 80.0)
    assert (got.limits.flag_low, got.limits.flag_high) == (57.5, 80.0)
    assert (got.source_mean, got.source_sd) == (72.5, 10.0)
    assert (got.size_used, got.size_date) == (170.0, datetime.date(2024, 1, 5))
    assert not got.outside_interval
    assert got.notes == ()


@pytest.mark.parametrize(("height", "end"), [(150.0, 160.0), (205.0, 190.0)])
def test_outside_the_interval_the_nearest_end_holds_and_it_says_so(height, end):
    got = resolve([GROWING], body_size=BodySize(height_cm=height))

    assert got.limits == resolve([GROWING], body_size=BodySize(height_cm=end)).limits
    assert got.outside_interval
    assert f"{height:g} cm is outside" in got.notes[0]


def test_missing_body_size_falls_back_to_the_rule_without_a_basis():
    assert winner([GROWING, rule("plain")], body_size=BodySize()) == "plain"
    assert winner([GROWING, rule("plain")]) == "growing"
    assert reason([GROWING], body_size=BodySize(height_cm=math.nan)) == "body_size_missing"


def test_interval_that_holds_the_size_wins_then_the_nearest():
    short = rule("short", size_basis="height", size_low=150.0, size_high=170.0)
    tall = rule("tall", size_basis="height", size_low=170.0, size_high=190.0)

    assert winner([short, tall], body_size=BodySize(height_cm=169.0)) == "short"
    assert winner([short, tall], body_size=BodySize(height_cm=170.0)) == "tall"
    assert winner([short, tall], body_size=BodySize(height_cm=230.0)) == "tall"
    assert winner([short, tall], body_size=BodySize(height_cm=120.0)) == "short"


def test_end_of_an_interval_is_inside_it():
    assert not resolve([GROWING], body_size=BodySize(height_cm=190.0)).outside_interval


def test_open_limits_stay_open_whatever_the_size():
    got = resolve([replace(GROWING, target_high=None, flag_high=None)])

    assert (got.limits.target_high, got.limits.flag_high) == (math.inf, math.inf)
    assert math.isnan(got.limits.unit_high)


def test_indexed_rules_resolve_alike():
    rules = [*LADDER, rule("elsewhere", metric="other")]

    assert resolve(index_rules(rules)) == resolve(rules)
    assert isinstance(resolve({}), NotScored)


def test_limits_survive_storage():
    stored = Limits(70.0, math.inf, 60.0, math.inf, math.nan, 4.0).stored()

    assert stored["flag_high"] is None
    assert Limits.from_stored(stored).stored() == stored
    assert Limits.stack([Limits(1.0, 2.0), Limits()]).target_low.tolist() == [1.0, -math.inf]


some = st.sampled_from
any_rule = st.builds(
    lambda **fields: replace(BASE, **fields),
    id=st.integers(0, 10**6),
    method=some([None, "motion_capture", "video"]),
    level=some([None, "college", "youth"]),
    pitch_type=some([None, "fastball", "slider"]),
    surface=some([None, "mound"]),
    landing=some([None, "fc", "fp"]),
    status=some(["published", "from_memory", "common_practice", "house_opinion"]),
    size_basis=some(["none", "height"]),
    size_low=some([150.0, 175.0]),
    size_high=some([185.0, 200.0]),
)
AT_LANDING = {"landing_dependent": True, "available_landings": ["fc", "fp"], "landing_rate": 100.0}


def beats(one, other):
    """The written order, a step at a time, for an athlete of 180 cm at whom both rules were aimed."""
    for step in (
        lambda r: r.method is not None,
        lambda r: (r.pitch_type is not None) + (r.surface is not None),
        lambda r: r.level is not None,
        lambda r: r.size_basis != "none",
        lambda r: r.size_low - r.size_high if r.size_basis != "none" else 0,
        lambda r: ["house_opinion", "common_practice", "from_memory", "published"].index(r.status),
        lambda r: [None, "fc", "fp"].index(r.landing),
    ):
        if step(one) != step(other):
            return step(one) > step(other)
    return False


@given(st.lists(any_rule, max_size=6))
def test_winner_matches_and_is_beaten_by_no_other_match(rules):
    matching = [
        r
        for r in rules
        if r.method in (None, "motion_capture") and r.level in (None, "college") and r.pitch_type in (None, "fastball")
    ]
    got = resolve(rules, **AT_LANDING)

    if not matching:
        assert isinstance(got, NotScored)
        return
    assert got.rule in matching
    assert not any(beats(other, got.rule) for other in matching)


@given(st.lists(any_rule, min_size=2, max_size=4, unique_by=lambda r: r.id))
def test_order_in_the_profile_never_matters(rules):
    assert len({resolve(list(order), **AT_LANDING) for order in permutations(rules)}) == 1


@given(st.lists(any_rule, min_size=2, max_size=5, unique_by=lambda r: r.id))
def test_rules_that_pass_the_check_never_tie(rules):
    if any(one.code == "overlap" for one in find_conflicts(rules)):
        return
    got = resolve(rules, **AT_LANDING)
    if isinstance(got, NotScored):
        return
    for other in rules:
        if other.id != got.rule.id and isinstance(resolve([other], **AT_LANDING), Applied):
            assert beats(got.rule, other)
