"""A first plan: at most three things, fifteen minutes, and nothing that the athlete may not do."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from metrics.catalogue import load_catalogue
from metrics.catalogue.causes import load_links
from plans.library import (
    Need,
    Situation,
    WorkedHere,
    causes_by_effect,
    follow_up_on,
    load_library,
    propose,
    rank,
    suggest,
)
from plans.library.filters import reasons_against
from plans.library.words import AVAILABILITIES, OUTCOMES, PHASES

START = dt.date(2027, 3, 1)
STRIDE = Need("stride_length", "low", is_starting_point=True)
FREE = Situation(age_years=20)


def plan(needs, now=FREE, follows=(), tried=None, **more):
    offered = suggest(load_library(), needs, now).offered
    return propose(rank(offered, tried=tried or {}), now, start=START, follows=follows, **more)


def test_a_first_plan_is_one_for_the_body_one_drill_and_one_to_leave_alone():
    found = plan([STRIDE], follows=[("trunk_forward_tilt_br", "low")])
    assert [one.key for one in found.works] == ["inner_thigh_rock", "step_behind_throws"]
    assert found.leave_alone.sentence == (
        "Leave alone: Trunk forward tilt at ball release (upright). It follows from the starting point."
    )
    assert found.leave_alone.flag == ("trunk_forward_tilt_br", "low")


def test_minutes_are_those_of_all_works():
    found = plan([STRIDE])
    assert found.minutes == sum(one.dose.minutes for one in found.works) == 7  # 3 of rocking back, 4 of throws


def test_it_is_looked_at_again_after_the_longest_of_the_times():
    found = plan([STRIDE])
    weeks = [one.intervention.recheck_weeks for one in found.works]
    assert weeks == [(4, 4), (2, 4)]
    assert found.follow_up_on == START + dt.timedelta(weeks=4)


def test_a_span_of_weeks_counts_to_its_end():
    found = plan([Need("leg_strength_ratio", "low", True)])
    assert [one.intervention.recheck_weeks for one in found.works] == [(6, 8)]
    assert found.follow_up_on == dt.date(2027, 4, 26)  # 1 March and 56 days


def test_where_the_first_choice_fills_the_day_nothing_stands_beside_it():
    """The warm-up takes up to 15 minutes, and is what is left first when all else for the need did not help."""
    needs = [Need("er_strength_prone", "low", True), Need("glove_arm_drift", "high")]
    tried = {"prone_turn_back": "no_change", "side_lying_turn_back": "no_change"}
    found = plan(needs, tried=tried)
    assert [one.key for one in found.works] == ["arm_care_warm_up"]
    assert found.minutes == 15


def test_a_shorter_day_takes_what_fits():
    assert plan([STRIDE], most=4).minutes <= 4
    assert plan([STRIDE], most=4).works


def test_a_flag_that_a_chosen_work_addresses_is_not_left_alone():
    follows = [("pelvis_speed_max", "low"), ("trunk_forward_tilt_br", "low")]
    found = plan([STRIDE], follows=follows)
    assert ("pelvis_speed_max", "low") in found.works[1].intervention.answers
    assert found.leave_alone.flag == ("trunk_forward_tilt_br", "low")


def test_too_many_throws_are_the_thing_to_leave_alone():
    found = plan([STRIDE, Need("workload_7_days", "high")], follows=[("trunk_forward_tilt_br", "low")])
    assert found.leave_alone.suggestion.key == "fewer_throws"
    assert found.leave_alone.sentence == "Leave alone: throws beyond the plan. Fewer throws and more days of rest."
    assert "fewer_throws" in [one.key for one in found.given]
    assert "fewer_throws" not in [one.key for one in found.works]


def test_pain_makes_the_plan_a_referral_and_nothing_else():
    found = plan([STRIDE], Situation(14, has_open_pain=True), follows=[("trunk_forward_tilt_br", "low")])
    assert [one.key for one in found.works] == ["refer_pain"]
    assert found.leave_alone is None
    assert found.minutes == 0
    assert found.follow_up_on == START + dt.timedelta(weeks=1)


def test_pain_that_came_after_the_suggestions_stops_them_too():
    ranked = rank(suggest(load_library(), [STRIDE], FREE).offered)
    found = propose(ranked, Situation(20, has_open_pain=True), start=START)
    assert found.given == ()
    assert found.follow_up_on is None


def test_where_there_is_no_work_to_give_the_plan_is_the_referral():
    found = plan([Need("elbow_extension_deficit", "high", True)])
    assert [one.key for one in found.works] == ["refer_pain"]
    assert found.follow_up_on == START + dt.timedelta(weeks=1)


def test_a_referral_stands_beside_no_work():
    found = plan([Need("shoulder_ir_deficit", "high", True)])
    assert [one.key for one in found.works] == ["stretch_across_body"]


def test_nothing_to_suggest_is_an_empty_plan_without_a_date():
    found = plan([Need("stride_length", "high", True)], follows=[("trunk_forward_tilt_br", "low")])
    assert (found.works, found.leave_alone, found.minutes, found.follow_up_on) == ((), None, 0, None)


def test_the_date_crosses_a_leap_day_and_a_change_of_the_clock():
    (first, *_) = suggest(load_library(), [STRIDE], FREE).offered
    assert follow_up_on([first], dt.date(2028, 2, 14)) == dt.date(2028, 3, 13)


ENDS = sorted({end for one in load_library() for end in one.answers})
KEYS = [one.key for one in load_library()]
CAUSES = causes_by_effect(load_links())
FLAGS = st.sampled_from(sorted(load_catalogue().metrics)).flatmap(
    lambda key: st.tuples(st.just(key), st.sampled_from(["low", "high"]))
)
NEEDS = st.lists(
    st.builds(lambda end, is_start: Need(*end, is_start), st.sampled_from(ENDS) | FLAGS, st.booleans()), max_size=6
)
SITUATIONS = st.builds(
    Situation,
    age_years=st.integers(8, 45),
    availability=st.sampled_from(sorted(AVAILABILITIES)),
    has_open_pain=st.booleans(),
    phases=st.lists(st.sampled_from(sorted(PHASES)), max_size=2).map(tuple),
    is_growing_fast=st.booleans(),
    is_provisional=st.booleans(),
    running=st.frozensets(st.sampled_from(KEYS), max_size=4),
)
TRIED = st.dictionaries(st.sampled_from(KEYS), st.sampled_from(OUTCOMES), max_size=8)
WORKED = st.dictionaries(
    st.tuples(st.sampled_from(KEYS), st.sampled_from(ENDS)),
    st.builds(lambda count, least: WorkedHere(count, count, least), st.integers(1, 60), st.floats(0, 1)),
    max_size=6,
)


@pytest.mark.parametrize("causes", [{}, CAUSES], ids=["flags alone", "with causes"])
@settings(max_examples=150, deadline=None)
@given(needs=NEEDS, now=SITUATIONS, tried=TRIED, worked=WORKED, follows=st.lists(FLAGS, max_size=3))
def test_a_proposal_never_breaks_the_limits(causes, needs, now, tried, worked, follows):
    offered = suggest(load_library(), needs, now, causes=causes).offered
    found = propose(rank(offered, worked=worked, tried=tried), now, start=START, follows=follows)
    kinds = [one.intervention.kind for one in found.works]
    restraint = [one for one in found.given if one.intervention.is_restraint]
    assert len(found.works) + (found.leave_alone is not None) <= 3
    assert sum(kind in ("mobility", "strength") for kind in kinds) <= 1
    assert sum(kind == "drill" for kind in kinds) <= 1
    assert "referral" not in kinds or len(kinds) == 1
    assert sum(one.dose.minutes for one in found.given) == found.minutes <= 15
    assert len(restraint) <= 1
    for one in found.given:
        forbidden = now.availability in ("limited", "stopped") or now.is_growing_fast
        assert not (one.intervention.has_throws and (forbidden or "rest" in now.phases))
        assert not (one.intervention.kind == "drill" and now.is_provisional and one.intervention.effort == "full")
        assert not (now.availability == "stopped" and one.intervention.load != "none")
        assert one.intervention.kind == "referral" or not now.has_open_pain
        assert one.dose == one.intervention.dose_at(now.age_years)
        assert one.key not in now.running
    if found.given:
        assert found.follow_up_on == START + max(
            dt.timedelta(weeks=one.intervention.recheck_weeks[1]) for one in found.given
        )
    else:
        assert found.follow_up_on is None
    if found.leave_alone and found.leave_alone.flag:
        worked_on = {end for one in found.works for end in one.intervention.answers}
        assert found.leave_alone.flag not in worked_on


@settings(max_examples=120, deadline=None)
@given(needs=NEEDS, now=SITUATIONS)
def test_what_answers_is_offered_or_left_out_with_a_reason_never_lost(needs, now):
    found = suggest(load_library(), needs, now)
    ends = {need.end for need in needs} | ({("throwing_pain", "high")} if now.has_open_pain else set())
    answering = {one.key for one in load_library() if ends & set(one.answers)}
    offered, left_out = {one.key for one in found.offered}, {one.intervention.key for one in found.left_out}
    assert offered | left_out == answering
    assert offered & left_out == set()
    assert all(one.reasons for one in found.left_out)
    assert all(not reasons_against(one.intervention, now) for one in found.offered)
