"""What a person typed becomes a hands-on session, once, judged at once; and goes back to the form when it is undone."""

import datetime as dt
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from athletes.models import ChangeLog, PainReport
from metrics.models import Finding, Reading, ScreenDraft, ScreenEntry, Standing
from metrics.services.screens.saving import save_screens, take_back_screens
from sessions.models import CaptureSession, Throw
from sessions.services.throws import exclude_throw
from tests import factories
from tests.metrics.imports.dying import Killed, calls_of, dying_at, undone

pytestmark = pytest.mark.django_db

HIPS = {"v-hip_ir_front-1": "31", "v-hip_ir_back-1": "44"}


@pytest.fixture(autouse=True)
def today(clock, facility):
    """14 April 2026."""


@pytest.fixture
def ranges():
    """One published profile in use: internal rotation of the front hip, target 35 to 50, flags 30 and 60."""
    made = factories.RangeProfileVersionFactory(profile__in_use=True)
    factories.RangeRuleFactory(
        version=made, metric="hip_ir_front", method="hands_on",
        target_low=35, target_high=50, flag_low=30, flag_high=60, source="Test source",
    )  # fmt: skip
    return factories.publish(made)


def save(athlete, by, sent=HIPS, **changes) -> ScreenEntry:
    return save_screens(athlete=athlete, by=by, sent=sent, **{"key": uuid4(), "date": factories.DAY, **changes})


def values_of(capture) -> list[dict]:
    """The readings of each round, in order."""
    rows = Reading.objects.filter(throw__session=capture, throw__withdrawn_at=None).order_by("throw__number")
    return [{key: reading.get("value", reading.get("reason")) for key, reading in row.values.items()} for row in rows]


def test_values_become_one_round_of_a_hands_on_session(athlete, coach):
    capture = save(athlete, coach).session
    assert (capture.method, capture.date, capture.throwing_side) == ("hands_on", factories.DAY, "right")
    assert values_of(capture) == [{"hip_ir_front@screen": 31.0, "hip_ir_back@screen": 44.0}]
    assert Reading.objects.get().source == Reading.Source.SCREEN


def test_they_are_judged_in_the_same_act(ranges, athlete, coach):
    capture = save(athlete, coach, {"v-hip_ir_front-1": "12"}).session
    found = Finding.objects.get(session=capture, metric="hip_ir_front")
    assert (found.mean, found.zone, found.side) == (12.0, "flag", "low")
    assert Standing.objects.get(athlete=athlete).last_session == capture


def test_who_measured_is_kept_with_the_change(athlete, clinician):
    entry = save(athlete, clinician)
    assert entry.entered_by == clinician
    line = ChangeLog.objects.get(action="screens.saved")
    assert (line.who, line.athlete_uuid, line.object_uuid) == (clinician.uuid, athlete.uuid, entry.uuid)


def test_a_double_tap_stores_once(athlete, coach):
    key = uuid4()
    first, second = save(athlete, coach, key=key), save(athlete, coach, key=key)
    assert first == second
    assert values_of(first.session) == [{"hip_ir_front@screen": 31.0, "hip_ir_back@screen": 44.0}]
    assert ChangeLog.objects.filter(action="screens.saved").count() == 1


def test_the_form_sent_again_with_other_values_is_not_taken_for_the_first(athlete, coach):
    key = uuid4()
    save(athlete, coach, key=key)
    with pytest.raises(ValidationError, match="saved already, with other values"):
        save(athlete, coach, {"v-hip_ir_front-1": "35"}, key=key)


def test_a_forms_number_belongs_to_one_athlete(athlete, other_athlete, coach):
    key = uuid4()
    save(athlete, coach, key=key)
    with pytest.raises(ValidationError, match="another athlete"):
        save(other_athlete, coach, key=key)


def test_more_of_the_day_goes_to_the_same_session_and_round(athlete, coach):
    """The two sides were measured by two stations; they are one round, so that their difference can be formed."""
    first = save(athlete, coach, {"v-hip_ir_front-1": "31"})
    second = save(athlete, coach, {"v-hip_ir_back-1": "44"})
    assert first.session == second.session
    assert values_of(first.session) == [{"hip_ir_front@screen": 31.0, "hip_ir_back@screen": 44.0}]


def test_the_same_screen_again_is_a_second_round(athlete, coach):
    capture = save(athlete, coach).session
    save(athlete, coach, {"v-hip_ir_front-1": "33"})
    assert values_of(capture)[1:] == [{"hip_ir_front@screen": 33.0}]


def test_measured_twice_in_one_form_makes_two_rounds(athlete, coach):
    capture = save(athlete, coach, {**HIPS, "v-hip_ir_front-2": "33"}).session
    assert values_of(capture) == [
        {"hip_ir_front@screen": 31.0, "hip_ir_back@screen": 44.0},
        {"hip_ir_front@screen": 33.0},
    ]


def test_a_session_of_its_own_when_asked_for(athlete, coach):
    first, second = save(athlete, coach), save(athlete, coach, own=True)
    assert first.session != second.session
    assert second.session.ordinal == 2


def test_another_day_is_another_session(athlete, coach):
    earlier = save(athlete, coach, date=factories.DAY - dt.timedelta(days=3)).session
    assert save(athlete, coach).session != earlier


def test_rounds_that_a_file_made_are_not_written_to(athlete, coach):
    capture = factories.CaptureSessionFactory(athlete=athlete, method="hands_on", setup="table")
    throw = factories.ThrowFactory(session=capture, ball_speed_m_s=None, source_upload=factories.UploadFactory())
    factories.ReadingFactory(throw=throw, values={"hip_er_front@screen": {"value": 40.0}})
    entry = save(athlete, coach)
    assert entry.session == capture
    assert [one.pk for one in capture.throws.all()] != [throw.pk]
    assert values_of(capture)[0] == {"hip_er_front@screen": 40.0}


def test_a_reason_is_kept_as_a_reason_and_gives_way_to_a_value(athlete, coach):
    capture = save(athlete, coach, {"not-hip_ir_front": "pain", "not-hip_ir_back": "not_tested"}).session
    assert values_of(capture) == [{"hip_ir_front@screen": "pain", "hip_ir_back@screen": "not_tested"}]
    save(athlete, coach, {"v-hip_ir_back-1": "40"})
    assert values_of(capture) == [{"hip_ir_front@screen": "pain", "hip_ir_back@screen": 40.0}]


def test_pain_in_a_screen_reports_nothing_by_itself(athlete, coach):
    save(athlete, coach, {"not-hip_ir_front": "pain"})
    assert not PainReport.objects.exists()


def test_a_left_handed_athletes_session_has_the_left_arm(coach):
    assert save(factories.AthleteFactory(throws="left"), coach).session.throwing_side == "left"


def test_who_throws_with_both_says_with_which(coach):
    both = factories.AthleteFactory(throws="both")
    with pytest.raises(ValidationError, match="Say which arm"):
        save(both, coach)
    right, left = save(both, coach, arm="right"), save(both, coach, arm="left")
    assert right.session != left.session
    assert left.session.throwing_side == "left"


def test_typed_in_pounds_kept_in_kilograms(athlete, coach):
    """100 lb are 45.36 kg (international avoirdupois pound, 0.45359237 kg)."""
    capture = save(athlete, coach, {"v-grip_strength_throwing-1": "100", "units": "us"}).session
    assert values_of(capture)[0]["grip_strength_throwing@screen"] == pytest.approx(45.359237)


WRONG = {
    "degrees above anatomy": ({"v-hip_ir_front-1": "200"}, "200° is not plausible: 0° to 75° is"),
    "a word": ({"v-hip_ir_front-1": "stiff"}, "type a number"),
    "a negative angle where there is none": ({"v-hip_ir_front-1": "-5"}, "is not plausible"),
    "infinity": ({"v-hip_ir_front-1": "inf"}, "type a number"),
    "a digit that is none of ours": ({"v-hip_ir_front-1": "٣١"}, "type a number"),
    "a class that is not there": ({"v-scapular_dyskinesis_throwing-1": "1.5"}, "choose one of the list"),
    "a value and a reason": ({**HIPS, "not-hip_ir_front": "pain"}, "Take one of them away"),
    "a reason that is none": ({"not-hip_ir_front": "tired"}, "from the list"),
    "nothing": ({}, "Nothing was entered"),
    "only what is worked out": ({"v-shoulder_ir_deficit-1": "12", "v-bmi-1": "22"}, "Nothing was entered"),
    "a day that is still to come": ({**HIPS, "date": "2026-04-15"}, "of 15 April 2026 lies in the future"),
    "a day before birth": ({**HIPS, "date": "2009-01-01"}, "before"),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_cannot_be_is_refused_in_words_and_nothing_is_stored(case, athlete, coach):
    sent, sentence = WRONG[case]
    date = dt.date.fromisoformat(sent.get("date", str(factories.DAY)))
    with pytest.raises(ValidationError) as refused:
        save(athlete, coach, sent, date=date)
    assert sentence in " ".join(refused.value.messages)
    assert not CaptureSession.objects.exists()
    assert not ScreenEntry.objects.exists()


def test_one_wrong_value_among_good_ones_stores_none(athlete, coach):
    with pytest.raises(ValidationError) as refused:
        save(athlete, coach, {**HIPS, "v-hip_er_front-1": "170"})
    assert list(refused.value.message_dict) == ["v-hip_er_front-1"]
    assert not Reading.objects.exists()


def test_a_minor_without_consent_is_not_measured(coach):
    with pytest.raises(ValidationError, match="No guardian’s consent"):
        save(factories.AthleteFactory(consent=False), coach)
    assert not CaptureSession.objects.exists()


def test_taken_back_it_leaves_no_session_and_waits_as_a_draft(athlete, coach):
    entry = save(athlete, coach)
    draft = take_back_screens(entry=entry, by=coach)
    assert not CaptureSession.objects.exists()
    assert not Throw.objects.filter(session=entry.session).exists()
    assert {name: draft.payload[name] for name in HIPS} == HIPS
    assert Standing.objects.get(athlete=athlete).last_session is None


def test_taken_back_it_leaves_what_others_measured(athlete, coach, clinician):
    capture = save(athlete, clinician, {"v-hip_ir_front-1": "31"}).session
    mine = save(athlete, coach, {"v-hip_ir_back-1": "44", "v-hip_er_back-1": "50"})
    take_back_screens(entry=mine, by=coach)
    assert values_of(capture) == [{"hip_ir_front@screen": 31.0}]


def test_a_round_that_was_left_out_takes_nothing_more_and_is_taken_back_as_well(athlete, coach):
    entry = save(athlete, coach)
    exclude_throw(throw=entry.session.throws.get(), by=coach, reason="other")
    save(athlete, coach, {"v-hip_er_front-1": "40"})
    assert values_of(entry.session)[1] == {"hip_er_front@screen": 40.0}
    take_back_screens(entry=entry, by=coach)
    assert values_of(entry.session) == [{"hip_er_front@screen": 40.0}]


def test_taken_back_the_reason_that_stood_before_stands_again(athlete, coach):
    capture = save(athlete, coach, {"not-hip_ir_front": "pain"}).session
    take_back_screens(entry=save(athlete, coach, {"v-hip_ir_front-1": "31"}), by=coach)
    assert values_of(capture) == [{"hip_ir_front@screen": "pain"}]


def test_what_was_taken_back_can_be_saved_again_under_the_drafts_number(athlete, coach):
    draft = take_back_screens(entry=save(athlete, coach), by=coach)
    again = save(athlete, coach, key=draft.uuid)
    assert values_of(again.session) == [{"hip_ir_front@screen": 31.0, "hip_ir_back@screen": 44.0}]
    assert not ScreenDraft.objects.exists()


def test_taking_back_twice_is_said(athlete, coach):
    entry = save(athlete, coach)
    take_back_screens(entry=entry, by=coach)
    with pytest.raises(ValidationError, match="already"):
        take_back_screens(entry=entry, by=coach)


def test_killed_at_any_database_call_it_stores_all_or_nothing(ranges, athlete, coach):
    key = uuid4()

    def act() -> None:
        save(athlete, coach, key=key)

    with undone():
        act()  # caches are warm
    for call in range(1, calls_of(act)):  # the last one ends the transaction itself
        with undone():
            with pytest.raises(Killed), dying_at(call):
                act()
            assert not CaptureSession.objects.exists()
            assert not ScreenEntry.objects.exists()
            act()
            assert Finding.objects.filter(metric="hip_ir_front").count() == 1


def test_killed_while_taking_back_it_takes_all_or_nothing(ranges, athlete, coach):
    entry = save(athlete, coach)

    def act() -> None:
        take_back_screens(entry=ScreenEntry.objects.select_related("session__athlete").get(pk=entry.pk), by=coach)

    for call in range(1, calls_of(act)):  # the last one ends the transaction itself
        with undone():
            with pytest.raises(Killed), dying_at(call):
                act()
            assert values_of(entry.session) == [{"hip_ir_front@screen": 31.0, "hip_ir_back@screen": 44.0}]
            assert not ScreenDraft.objects.exists()
            act()
            assert not CaptureSession.objects.exists()
