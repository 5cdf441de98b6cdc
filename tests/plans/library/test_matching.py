"""What the library has for a flag or for its cause, and what is said where it has nothing."""

from __future__ import annotations

import pytest

from metrics.catalogue.causes import load_links, load_unanswered
from plans.library import Need, Situation, causes_by_effect, suggest

STRIDE, HAND = Need("stride_length", "low", is_starting_point=True), Need("shoulder_external_rotation_fp", "low")
FREE = Situation(age_years=20)


def keys(suggestions):
    return [one.key for one in suggestions.offered]


def test_what_answers_the_need_is_offered_with_the_dose_for_the_age(library):
    found = suggest(library, [STRIDE], Situation(age_years=14))
    assert keys(found) == ["inner_thigh_rock", "side_lunge_push_off", "step_behind_throws"]
    assert [one.dose for one in found.offered] == [one.intervention.doses["13_15"] for one in found.offered]
    assert all(one.is_for_starting_point and one.is_direct for one in found.offered)


def test_the_other_direction_is_another_need(library):
    found = suggest(library, [Need("stride_length", "high")], FREE)
    assert keys(found) == []
    assert [one.reason for one in found.unmet] == ["Nothing in the library answers this."]


def test_nothing_wanted_is_nothing_offered(library):
    found = suggest(library, [], FREE)
    assert (found.offered, found.left_out, found.unmet) == ((), (), ())


def test_a_cause_is_answered_where_the_need_itself_is_not(library):
    causes = {HAND.end: [("hip_ir_front", "low"), ("pec_minor_table_distance_throwing", "high")]}
    found = {one.key: one for one in suggest(library, [HAND], FREE, causes=causes).offered}
    assert found["chest_opener"].answers[0].through == ("pec_minor_table_distance_throwing", "high")
    assert not found["chest_opener"].is_direct
    assert found["rocker_throws"].answers[0].through is None


def test_a_cause_that_was_measured_in_range_is_not_worked_on(library):
    causes = {HAND.end: [("pec_minor_table_distance_throwing", "high")]}
    with_it = keys(suggest(library, [HAND], FREE, causes=causes))
    without = keys(
        suggest(library, [HAND], FREE, causes=causes, ruled_out={("pec_minor_table_distance_throwing", "high")})
    )
    assert set(with_it) - set(without) == {"chest_opener", "prone_row_and_raises"}


def test_what_may_not_be_done_today_stands_apart_with_its_reason(library):
    found = suggest(library, [STRIDE], Situation(20, "limited"))
    assert keys(found) == ["inner_thigh_rock", "side_lunge_push_off"]
    (out,) = found.left_out
    assert out.intervention.key == "step_behind_throws"
    assert out.reasons[0] == "No drill with throws while limited."
    assert found.unmet == ()


def test_a_need_whose_every_answer_must_wait_says_so(library):
    need = Need("glove_arm_drift", "high")
    found = suggest(library, [need], Situation(20, "stopped"))
    assert [(one.need, one.reason) for one in found.unmet] == [
        (need, "What the library has for this is not for the athlete today.")
    ]


def test_with_open_pain_a_referral_is_offered_whatever_was_asked(library):
    found = suggest(library, [STRIDE], Situation(14, has_open_pain=True))
    assert keys(found) == ["refer_pain", "refer_growth_plate"]
    assert len(found.left_out) == 3


def test_one_work_for_two_needs_is_offered_once_with_both(library):
    drive = Need("pelvis_speed_max", "low")
    found = {one.key: one for one in suggest(library, [drive, STRIDE], FREE).offered}
    assert [answer.need for answer in found["step_behind_throws"].answers] == [STRIDE, drive]


def test_the_same_need_twice_is_one_need(library):
    assert suggest(library, [STRIDE, STRIDE], FREE) == suggest(library, [STRIDE], FREE)


def test_the_catalogues_links_serve_as_causes(library):
    causes = causes_by_effect(load_links())
    assert sum(map(len, causes.values())) == len(load_links())
    through = {
        answer.through for one in suggest(library, [HAND], FREE, causes=causes).offered for answer in one.answers
    }
    assert through - {None} <= set(causes[HAND.end])
    assert len(through) > 3


@pytest.mark.parametrize("listed", load_unanswered(), ids=lambda one: f"{one.metric} {one.direction}")
def test_what_the_catalogue_lists_as_unanswered_is_told_as_such(library, listed):
    found = suggest(library, [Need(listed.metric, listed.direction, True)], FREE)
    assert [one.reason for one in found.unmet] == ["Nothing in the library answers this."]
