"""What an edited intervention is refused for, each in a sentence that says what to do."""

from __future__ import annotations

from dataclasses import replace

import pytest

from plans.library import Dose, problems_of

GOOD = Dose("adult", "house", sets=(2, 2), seconds=(30, 30), days=(7, 7))


def test_a_sound_intervention_has_no_problem(sound):
    assert problems_of(sound) == []


FAULTS = {
    "key": ({"key": "Wall Stretch"}, "may hold small letters"),
    "no name": ({"name": " "}, "it has no name"),
    "no source": ({"source": ""}, "its source is empty"),
    "kind": ({"kind": "massage"}, "kind 'massage' is not one of mobility"),
    "effort": ({"effort": "half"}, "effort 'half' is not one of low, full"),
    "load": ({"load": "stones"}, "load 'stones' is not one of none"),
    "status": ({"status": "sure"}, "status 'sure' is not one of published"),
    "phase": ({"not_in": {"winter": "It is cold."}}, "season phase 'winter' is not one of off_season"),
    "band": ({"doses": {"elders": GOOD}}, "band of age 'elders' is not one of"),
    "answers nothing": ({"answers": ()}, "it answers nothing"),
    "unknown metric": ({"answers": (("hat_size", "low"),)}, "no metric or screen 'hat_size'"),
    "outcome": ({"answers": (("elbow_varus_torque_norm", "high"),)}, "is outcome, never worked on"),
    "style": ({"answers": (("arm_slot_br", "low"),)}, "is style, never worked on"),
    "direction": ({"answers": (("stride_length", "short"),)}, "direction 'short' is not one of low, high"),
    "too few sentences": ({"instructions": ("Lean in.", "Hold it.")}, "2 sentences of instruction"),
    "too many sentences": ({"instructions": ("Lean in.",) * 7}, "7 sentences of instruction"),
    "two in one": ({"instructions": ("Lean. Hold.", "Rest.", "Rise.")}, "is not one sentence with a capital"),
    "no stop": ({"instructions": ("Lean in", "Hold.", "Rest.")}, "is not one sentence with a capital"),
    "does not say when to stop": ({"cautions": ("Be careful.",)}, "it does not say when to stop"),
    "a referral that lets throw": ({"kind": "referral"}, "what waits until somebody has looked"),
    "throws in mobility": ({"has_throws": True}, "only a drill has throws"),
    "a return without throws": ({"is_return": True}, "a return to throw without throws"),
    "throws without a number": ({"kind": "drill", "has_throws": True}, "does not say how many throws"),
    "no dose": ({"doses": {}}, "it has no dose"),
    "a gap of ages": ({"doses": {"under_13": GOOD, "adult": GOOD}}, "a band of age between two others"),
    "a restraint that takes time": ({"is_restraint": True}, "and it asks for no work"),
    "late look": ({"recheck_weeks": (4, 60)}, "looked at again after 4 to 60 weeks"),
    "turned weeks": ({"recheck_weeks": (6, 4)}, "looked at again after 6 to 4 weeks"),
    "no week": ({"recheck_weeks": (0, 4)}, "looked at again after 0 to 4 weeks"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_said(sound, fault):
    change, expected = FAULTS[fault]
    found = problems_of(replace(sound, **change))
    assert [sentence for sentence in found if expected in sentence], found


DOSE_FAULTS = {
    "zero sets": ({"sets": (0, 2)}, "0 to 2 sets is no dose"),
    "turned": ({"seconds": (30, 20)}, "30 to 20 seconds is no dose"),
    "below zero": ({"days": (-1, 3)}, "−1 to 3 days a week is no dose"),
    "no load": ({"load_kg": (0, 0)}, "0 load in kg is no dose"),
    "no movement": ({"moves": 0}, "at least one movement"),
    "sets of nothing": ({"seconds": None}, "sets of nothing"),
    "seconds without sets": ({"sets": None}, "the number of sets is missing"),
    "empty": ({"sets": None, "seconds": None}, "the dose is empty"),
    "no days": ({"days": None}, "the days a week are missing"),
    "eight days": ({"days": (7, 8)}, "A week has 7"),
    "weight without weight": ({"load_kg": (1, 2)}, "it works with none"),
    "too long": ({"work_minutes": (10, 20)}, "minutes a day. 15 is the most"),
    "throws": ({"throws": (5, 5)}, "the dose counts throws"),
    "supervision": ({"supervision": "parent"}, "supervision 'parent' is not one of alone"),
    "basis": ({"basis": "guess"}, "basis of a dose 'guess' is not one of"),
}


@pytest.mark.parametrize("fault", DOSE_FAULTS)
def test_a_fault_of_a_dose_is_said_with_its_age(sound, fault):
    change, expected = DOSE_FAULTS[fault]
    found = problems_of(replace(sound, doses={**sound.doses, "adult": replace(GOOD, **change)}))
    assert [sentence for sentence in found if expected in sentence], found


@pytest.mark.parametrize("more", [{"sets": (2, 3)}, {"seconds": (30, 40)}])
def test_the_younger_get_no_more_than_the_older(sound, more):
    found = problems_of(replace(sound, doses={**sound.doses, "13_15": replace(GOOD, **more)}))
    assert [sentence for sentence in found if "for 13 to 15 is more than" in sentence]


def test_nobody_under_13_is_alone(sound):
    found = problems_of(replace(sound, doses={**sound.doses, "under_13": replace(GOOD, supervision="alone")}))
    assert found == [
        "Stretch at a wall: under 13: nobody of that age does it alone. Name an adult, a coach or a clinician."
    ]
