"""Each reason for which an intervention is not for an athlete today, and what is left when it holds."""

from __future__ import annotations

import pytest

from plans.library import Situation
from plans.library.filters import reasons_against

FREE = Situation(age_years=20)


def left(library, now):
    return [one for one in library if not reasons_against(one, now)]


def test_somebody_grown_and_free_may_do_nearly_all(library):
    out = {one.key: reasons_against(one, FREE) for one in library if reasons_against(one, FREE)}
    assert out == {
        "graded_return": ("Only for somebody who is returning to throw.",),
        "growth_watch": ("Not for this age: it is for 18 and younger.",),
        "refer_growth_plate": ("Not for this age: it is for 18 and younger.", "Only where something hurts."),
    }


def test_open_pain_leaves_referrals_only(library):
    now = Situation(age_years=14, has_open_pain=True)
    assert {one.kind for one in left(library, now)} == {"referral"}


@pytest.mark.parametrize("availability", ["full", "limited", "return_to_throw", "stopped", "away"])
def test_open_pain_stops_work_whatever_the_availability_says(by_key, availability):
    now = Situation(20, availability, has_open_pain=True)
    reasons = reasons_against(by_key["hip_turns_seated"], now)
    assert reasons == ("Pain is open: a clinician comes first, and no new work before a clearance.",)


@pytest.mark.parametrize(
    ("now", "sentence"),
    [
        (Situation(20, "limited"), "No drill with throws while limited."),
        (Situation(20, "stopped"), "No drill with throws while stopped."),
        (Situation(14, is_growing_fast=True), "No drill with throws while growing fast."),
        (Situation(20, "return_to_throw"), "While returning to throw, throws come from the graded return only."),
        (Situation(20, phases=("rest",)), "No drill with throws in the rest from throwing."),
    ],
)
def test_drills_with_throws_wait(library, by_key, now, sentence):
    assert sentence in reasons_against(by_key["rocker_throws"], now)
    assert [one.key for one in left(library, now) if one.has_throws and not one.is_return] == []
    assert left(library, now)


@pytest.mark.parametrize("availability", ["full", "limited", "stopped", "away"])
def test_the_graded_return_is_for_a_return_to_throw(by_key, availability):
    assert reasons_against(by_key["graded_return"], Situation(20, availability))
    assert not reasons_against(by_key["graded_return"], Situation(20, "return_to_throw"))


def test_even_the_graded_return_waits_while_growing_fast(by_key):
    now = Situation(14, "return_to_throw", is_growing_fast=True)
    assert reasons_against(by_key["graded_return"], now) == ("No drill with throws while growing fast.",)


def test_while_stopped_nothing_is_loaded(library):
    found = left(library, Situation(20, "stopped"))
    assert [one.key for one in found if one.load != "none" or one.has_impact or one.effort == "full"] == []
    assert "hip_turns_seated" in [one.key for one in found]


def test_while_stopped_an_arm_does_not_swing_a_towel_either(by_key):
    assert "No loaded work while stopped." in reasons_against(by_key["towel_delivery"], Situation(20, "stopped"))


@pytest.mark.parametrize("availability", ["limited", "return_to_throw", "stopped"])
def test_full_effort_waits_while_held_back(library, availability):
    assert [one.key for one in left(library, Situation(20, availability)) if one.effort == "full"] == []


def test_hard_landings_wait_while_growing_fast(by_key):
    now = Situation(14, is_growing_fast=True)
    assert reasons_against(by_key["bound_and_stick"], now) == ("No hard landings while growing fast.",)
    assert not reasons_against(by_key["bound_and_stick"], Situation(14))


def test_a_provisional_starting_point_suggests_nothing_at_full_effort_but_strength(library, by_key):
    now = Situation(20, is_provisional=True)
    found = left(library, now)
    assert {one.effort for one in found if one.kind == "drill"} == {"low"}
    assert by_key["medicine_ball_turn"] in found
    assert reasons_against(by_key["step_behind_throws"], now) == (
        "No drill at full effort while the starting point is provisional.",
    )


def test_what_is_not_for_an_age_says_for_which_it_is(by_key):
    assert reasons_against(by_key["slow_lowering_turn_back"], Situation(12)) == (
        "Not for this age: it is for 13 and older.",
    )
    assert not reasons_against(by_key["slow_lowering_turn_back"], Situation(13))


def test_away_needs_nobody_of_the_facility(library, by_key):
    found = left(library, Situation(14, "away"))
    assert {one.dose_at(14).supervision for one in found if one.kind != "referral"} == {"alone", "adult"}
    assert reasons_against(by_key["rocker_throws"], Situation(14, "away")) == (
        "Away: it needs a coach beside the athlete.",
    )


def test_in_season_the_arm_is_not_changed(by_key):
    now = Situation(20, phases=("off_season", "in_season"))
    assert reasons_against(by_key["short_arm_path"], now) == (
        "The way of the arm is not changed while games are played.",
    )
    assert not reasons_against(by_key["short_arm_path"], Situation(20, phases=("off_season",)))


def test_a_growth_plate_is_asked_about_only_where_something_hurts(by_key):
    one = by_key["refer_growth_plate"]
    assert reasons_against(one, Situation(13, is_growing_fast=True)) == ("Only where something hurts.",)
    assert not reasons_against(one, Situation(13, has_open_pain=True))


def test_what_is_in_the_plan_is_not_suggested_again(by_key):
    now = Situation(20, running=frozenset({"side_plank"}))
    assert reasons_against(by_key["side_plank"], now) == ("It is in the plan already.",)


def test_every_reason_is_told_the_gravest_first(by_key):
    now = Situation(20, "stopped", has_open_pain=True, phases=("in_season",))
    assert [sentence.split(" ")[0] for sentence in reasons_against(by_key["short_arm_path"], now)] == [
        "Pain", "No", "The",
    ]  # fmt: skip


@pytest.mark.parametrize("unknown", [{"availability": "maybe"}, {"phases": ("winter",)}, {"age_years": -1}], ids=str)
def test_what_is_not_understood_lets_nothing_through(unknown):
    with pytest.raises(ValueError):
        Situation(**{"age_years": 14, **unknown})
