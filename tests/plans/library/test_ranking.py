"""The order of suggestions: starting point, what worked here, what this athlete has tried."""

from __future__ import annotations

import pytest

from plans.library import Need, Situation, WorkedHere, rank, suggest

STRIDE = Need("stride_length", "low", is_starting_point=True)
TILT = Need("trunk_lateral_tilt_br", "high")
FREE = Situation(age_years=20)
FOR_STRIDE = ["inner_thigh_rock", "side_lunge_push_off", "step_behind_throws"]


def order(library, needs=(STRIDE,), now=FREE, causes=None, **known):
    offered = suggest(library, needs, now, causes=causes or {}).offered
    return [one.suggestion.key for one in rank(offered, **known)]


def because(library, key, **known):
    ranked = rank(suggest(library, [STRIDE], FREE).offered, **known)
    return next(one.because for one in ranked if one.suggestion.key == key)


def worked(key, athletes, better, least, flag=STRIDE):
    return {(key, flag.end): WorkedHere(athletes, better, least)}


def test_without_anything_known_the_librarys_order_stands(library):
    assert order(library) == FOR_STRIDE


def test_what_fills_the_day_stands_behind_what_leaves_room_for_a_second_work(library):
    """A tight front hip: the whole-chain warm-up of 15 minutes is first in the library, and last here."""
    assert order(library, [Need("hip_ir_front", "low")])[-1] == "arm_care_warm_up"
    assert order(library, [Need("hip_ir_front", "low")], tried={"arm_care_warm_up": "better"})[0] == "arm_care_warm_up"


def test_the_starting_point_comes_before_other_flags(library):
    found = order(library, [TILT, STRIDE])
    assert found[:3] == FOR_STRIDE
    assert "side_plank" in found[3:]


def test_what_worked_here_does_not_put_another_flag_before_the_starting_point(library):
    found = order(library, [TILT, STRIDE], worked=worked("side_plank", 40, 39, 0.87, TILT))
    assert found[:3] == FOR_STRIDE
    assert found[3] == "side_plank"


def test_what_worked_here_comes_first_by_the_lower_end_of_its_interval(library):
    known = {**worked("side_lunge_push_off", 5, 5, 0.57), **worked("step_behind_throws", 50, 40, 0.67)}
    assert order(library, worked=known) == ["step_behind_throws", "side_lunge_push_off", "inner_thigh_rock"]


def test_what_it_did_for_another_flag_does_not_count(library):
    assert order(library, worked=worked("step_behind_throws", 50, 40, 0.67, TILT)) == FOR_STRIDE


def test_fewer_than_five_athletes_are_neither_used_nor_shown(library):
    four, five = (worked("step_behind_throws", count, count, 0.5) for count in (4, 5))
    assert order(library, worked=four) == FOR_STRIDE
    assert because(library, "step_behind_throws", worked=four) == ("For the starting point.",)
    assert order(library, worked=five)[0] == "step_behind_throws"
    assert because(library, "step_behind_throws", worked=five)[1] == "5 of 5 athletes here got better with it."


@pytest.mark.parametrize("outcome", ["no_change", "worse"])
def test_what_did_not_help_this_athlete_sinks_whatever_it_did_for_others(library, outcome):
    known = worked("inner_thigh_rock", 50, 45, 0.8)
    assert order(library, worked=known, tried={"inner_thigh_rock": outcome})[-1] == "inner_thigh_rock"


def test_what_got_worse_sinks_deeper_than_what_did_not_change(library):
    tried = {"inner_thigh_rock": "worse", "side_lunge_push_off": "no_change"}
    assert order(library, tried=tried) == ["step_behind_throws", "side_lunge_push_off", "inner_thigh_rock"]


def test_what_helped_this_athlete_rises_among_equals(library):
    assert order(library, tried={"step_behind_throws": "better"})[0] == "step_behind_throws"


def test_what_cannot_be_told_moves_nothing(library):
    assert order(library, tried={"inner_thigh_rock": "cannot_tell"}) == FOR_STRIDE


def test_what_sinks_stays_before_other_flags(library):
    found = order(library, [TILT, STRIDE], tried={"inner_thigh_rock": "worse"})
    assert found[:3] == ["side_lunge_push_off", "step_behind_throws", "inner_thigh_rock"]


def test_the_need_itself_comes_before_its_cause(library):
    causes = {STRIDE.end: [("hip_extension_active_back", "low")]}
    assert order(library, causes=causes)[-1] == "hip_flexor_half_kneeling"


def test_a_referral_for_pain_stands_first(library):
    now = Situation(20, has_open_pain=True)
    assert order(library, [STRIDE, Need("shoulder_ir_deficit", "high")], now)[0] == "refer_pain"


def test_a_referral_for_motion_waits_behind_the_starting_point(library):
    found = order(library, [STRIDE, Need("shoulder_ir_deficit", "high")])
    assert found[:3] == FOR_STRIDE
    assert "refer_lost_motion" in found


def test_the_reasons_are_told(library):
    said = because(library, "inner_thigh_rock", tried={"inner_thigh_rock": "no_change"})
    assert said == ("For the starting point.", "Tried before: no real change.")


def test_an_unknown_outcome_is_refused(library):
    with pytest.raises(ValueError, match="an outcome is one of better"):
        order(library, tried={"inner_thigh_rock": "fine"})


@pytest.mark.parametrize("row", [(5, 6, 0.5), (5, -1, 0.5), (5, 3, 1.5), (5, 3, -0.1)])
def test_counts_that_cannot_be_are_refused(row):
    with pytest.raises(ValueError):
        WorkedHere(*row)
