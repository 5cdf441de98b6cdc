"""The plan page: who reads it, what has no work, what is proposed, what was given."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.models import Athlete
from plans.models import InterventionVersion, Prescription, WorkTick
from plans.selectors.plan_page import plan_page
from tests.conftest import CAST
from tests.factories import DAY, NOON, AvailabilityFactory, PainReportFactory
from tests.factories.plans import FollowUpFactory, InterventionVersionFactory, PrescriptionFactory
from tests.metrics.upstream.scenes import found, publish_links
from tests.plans.conftest import WEEK
from tests.plans.plan_scenes import ARM, LUNGE, ROCK, STEP, STRIDE, page_url, recurring_stride, tie

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


def page_of(athlete):
    return plan_page(Athlete.objects.with_facts().get(pk=athlete.pk), DAY, system="us")


def text_of(answer) -> str:
    return answer.content.decode()


@pytest.fixture
def short_stride(athlete):
    return recurring_stride(athlete)


def give(athlete, key: str, *, reason: str = STRIDE, **values) -> Prescription:
    version = InterventionVersion.objects.get(intervention__key=key)
    return PrescriptionFactory(
        athlete=athlete, version=version, reason={"metric": reason, "is_starting_point": reason == STRIDE}, **values
    )


# ---- who ------------------------------------------------------------------------------------------------

STATUS = {"admin": 200, "coach": 200, "clinician": 200, "visiting_coach": 403, "athlete_user": 403, "guardian": 403}


@pytest.mark.parametrize("name", CAST)
def test_staff_and_clinicians_read_the_plan_the_family_is_refused_and_strangers_find_nothing(cast, client_of, name):
    tie(cast)
    assert client_of(cast[name]).get(page_url(cast.athlete)).status_code == STATUS.get(name, 404)


def test_a_clinician_reads_and_has_nothing_to_press(cast, client_of):
    tie(cast)
    recurring_stride(cast.athlete)
    answer = client_of(cast["clinician"]).get(page_url(cast.athlete))
    assert "Rocking back over an outstretched leg" in text_of(answer)
    assert "Use this plan" not in text_of(answer)
    assert "/give/" not in text_of(answer)


def test_without_consent_only_an_admin_reads_and_nothing_new_is_proposed(cast, client_of):
    recurring_stride(cast.athlete)
    Athlete.objects.filter(pk=cast.athlete.pk).update(consent_withdrawn_on=DAY)
    assert client_of(cast["coach"]).get(page_url(cast.athlete)).status_code == 404
    answer = client_of(cast["admin"]).get(page_url(cast.athlete))
    assert "Consent is withdrawn: nothing new is given." in text_of(answer)
    assert answer.context["page"].proposal is None
    assert answer.context["page"].others == ()


def test_the_plan_is_a_tab_of_every_page_of_the_athlete(cast, client_of):
    answer = client_of(cast["coach"]).get(page_url(cast.athlete))
    assert [tab.label for tab in answer.context["tabs"] if tab.current] == ["Plan"]


# ---- what has no work -----------------------------------------------------------------------------------


def test_the_starting_point_and_recurring_flags_say_how_often_and_by_which_profile(athlete, short_stride):
    page = page_of(athlete)
    assert [(need.label, need.is_start, need.counted) for need in page.waiting] == [
        ("Stride length, touch: short", True, "2 of the last 3 comparable sessions"),
        ("Shoulder external rotation, touch: late", False, "2 of the last 3 comparable sessions"),
    ]
    assert [need.follows for need in page.waiting] == [False, True]
    assert page.profile == "House starting, version 1"
    assert page.answered == ()


def test_work_for_a_need_moves_it_to_those_with_work(athlete, short_stride):
    give(athlete, ROCK)
    page = page_of(athlete)
    assert [need.label for need in page.waiting] == ["Shoulder external rotation, touch: late"]
    assert [need.work for need in page.answered] == [("Rocking back over an outstretched leg",)]


def test_a_starting_point_of_one_session_is_provisional_and_gets_no_drill_at_full_effort(athlete):
    recurring_stride(athlete)
    only = found(athlete, {STRIDE: "low", ARM: "low"}, days_ago=0, method="video")
    page = page_of(athlete)
    assert page.waiting[0].is_provisional
    assert STEP not in page.proposal.url
    assert ("Throws from a step behind, for speed toward home", page.left_out[0][1]) in page.left_out
    assert page.session_url.endswith(f"{only.uuid}/")


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        (None, "Nothing was measured yet"),
        ({STRIDE: "fine"}, "Nothing is flagged in the latest session."),
        ({"elbow_varus_torque_max": "high"}, "1 flag in the latest session. It has not come back"),
    ],
)
def test_an_athlete_without_needs_is_told_why(athlete, client_of, coach, said, sentence):
    publish_links((f"{STRIDE} low", f"{ARM} low", "moderate"))
    if said:
        found(athlete, said)
    answer = client_of(coach).get(page_url(athlete))
    assert sentence in text_of(answer)
    assert "Nothing is in the plan" in text_of(answer)


# ---- what is proposed -----------------------------------------------------------------------------------


def test_a_first_plan_has_one_work_for_the_body_and_one_drill_and_says_what_to_leave_alone(athlete, short_stride):
    proposal = page_of(athlete).proposal
    assert [one.name for one in proposal.works] == [
        "Rocking back over an outstretched leg",
        "Throws from a step behind, for speed toward home",
    ]
    assert proposal.leave_alone.startswith("Leave alone: Shoulder external rotation")
    assert proposal.minutes == 7
    assert proposal.follow_up_on == DAY + 4 * WEEK
    assert proposal.works[0].why == ("For the starting point, Stride length, touch: short",)


def test_what_runs_takes_its_place_and_its_minutes(athlete, short_stride):
    give(athlete, LUNGE)
    page = page_of(athlete)
    assert [one.kind for one in page.proposal.works] == ["drill"]
    assert page.proposal.minutes == page.minutes_running + page.proposal.works[0].minutes


def test_a_plan_with_work_of_both_kinds_proposes_no_third(athlete, short_stride):
    give(athlete, LUNGE)
    give(athlete, "counted_stride")
    page = page_of(athlete)
    assert page.proposal is None
    assert "fits beside what runs" in page.no_proposal
    assert page.others


def test_open_pain_proposes_a_clinician_and_nothing_else(athlete, short_stride, client_of, coach):
    PainReportFactory(athlete=athlete)
    answer = client_of(coach).get(page_url(athlete))
    works = answer.context["page"].proposal.works
    assert [one.kind for one in works] == ["referral"]
    assert "Pain is open: a clinician comes first" in text_of(answer)


def test_under_limits_no_drill_with_throws_is_proposed_and_the_page_says_why(athlete, short_stride, client_of, coach):
    AvailabilityFactory(athlete=athlete, state="limited", valid_from=DAY - WEEK)
    answer = client_of(coach).get(page_url(athlete))
    assert [one.kind for one in answer.context["page"].proposal.works] == ["mobility"]
    assert "No drill with throws while limited." in text_of(answer)


def test_a_cause_that_was_measured_in_range_is_not_worked_on(athlete):
    recurring_stride(athlete)
    links = [one.name for one in page_of(athlete).others]
    assert "Turn-in stretch on the side, trunk rolled slightly back" not in links


FINDING = {
    "metric": "elbow_flexion_fp", "side": "low", "word": "better", "baseline": {"mean": 78.0},
    "now": {"mean": 91.0}, "change": {"difference": 13.0, "u": 2.0},
}  # fmt: skip

# ---- what was given -------------------------------------------------------------------------------------


def test_a_prescription_says_what_for_how_much_with_whom_and_until_when(athlete, short_stride, client_of, coach):
    row = give(athlete, ROCK, note="Slowly.", is_shown=False)
    row.reasons.update(session=short_stride)
    (one,) = page_of(athlete).running
    assert [(why.label, why.counted, why.is_starting_point) for why in one.why] == [
        ("Stride length, touch: short", "recurring, 2 of 3", True)
    ]
    assert (one.due_words, one.is_late, one.response, one.ticked) == ("in 6 weeks", False, None, "")
    text = text_of(client_of(coach).get(page_url(athlete)))
    for words in ("2 × 10, each side, every day", "Mobility, alone", "Slowly.", "does not read it", "Stop when"):
        assert words in text


def test_work_for_somebody_never_measured_names_its_reason_all_the_same(athlete, version):
    PrescriptionFactory(athlete=athlete, version=version, reason={"metric": "shoulder_external_rotation_fp"})
    (one,) = page_of(athlete).running
    assert [(why.label, why.date) for why in one.why] == [("Shoulder external rotation, landing: late", None)]


@pytest.mark.parametrize(
    ("days", "words", "is_late"),
    [(0, "due today", False), (1, "due tomorrow", False), (13, "in 13 days", False), (21, "in 3 weeks", False)],
)
def test_a_follow_up_says_how_far_it_is(athlete, days, words, is_late):
    PrescriptionFactory(athlete=athlete, start=DAY - WEEK, due=DAY + dt.timedelta(days=days))
    (one,) = page_of(athlete).running
    assert (one.due_words, one.is_late) == (words, is_late)


def test_a_late_follow_up_says_by_how_many_days(athlete):
    PrescriptionFactory(athlete=athlete, start=DAY - 4 * WEEK, due=DAY - dt.timedelta(days=3))
    (one,) = page_of(athlete).running
    assert (one.due_words, one.is_late) == ("3 days late", True)


def test_days_ticked_are_counted_over_the_last_two_weeks_and_no_longer_than_it_runs(athlete, version):
    long, short = (
        PrescriptionFactory(athlete=athlete, version=one, start=DAY - dt.timedelta(days=days))
        for one, days in ((version, 30), (InterventionVersionFactory(intervention__key=ROCK), 4))
    )
    for row, ago in ((long, 0), (long, 13), (long, 14), (short, 1)):
        WorkTick.objects.create(prescription=row, date=DAY - dt.timedelta(days=ago), ticked_at=NOON)
    WorkTick.objects.create(prescription=long, date=DAY - dt.timedelta(days=2), ticked_at=NOON, taken_back_at=NOON)
    assert [one.ticked for one in page_of(athlete).running] == [
        "ticked on 2 of the last 14 days",
        "ticked on 1 of the last 5 days",
    ]


def test_pain_holds_loaded_work_in_words_and_lets_the_rest_go_on(athlete, short_stride, client_of, coach):
    give(athlete, ROCK)
    give(athlete, LUNGE)
    PainReportFactory(athlete=athlete)
    assert [bool(one.work.held) for one in page_of(athlete).running] == [False, True]
    assert "Held: pain stops throws and loaded work until a clearance is recorded." in text_of(
        client_of(coach).get(page_url(athlete))
    )


def test_ended_work_says_how_it_ended_and_what_the_measurements_said(athlete, version):
    row = PrescriptionFactory(athlete=athlete, version=version, due="never", ended_on=DAY, ending="closed")
    FollowUpFactory(
        prescription=row,
        decision="closed",
        decided_at=NOON,
        decided_on={"word": "better", "findings": [FINDING]},
        note="Keeps it up.",
    )
    (one,) = page_of(athlete).ended
    assert (one.ended, one.note_of_end) == ("Closed after a follow-up", "Keeps it up.")
    assert one.response.sentence == "Better: elbow flexion at foot plant 78° → 91° (+13° ± 4)."
    assert one.response_decided_on == DAY
    assert not one.may_go_on


def test_work_that_goes_on_says_on_which_day_its_answer_was_decided(athlete, version, client_of, coach):
    row = give(athlete, version.intervention.key)
    told = {"word": "better", "findings": [FINDING]}
    FollowUpFactory(prescription=row, decision="continued", decided_at=NOON, decided_on=told)
    assert "<dt>Decided</dt><dd>14 April 2026: <b>Better</b>" in text_of(client_of(coach).get(page_url(athlete)))


def test_what_was_taken_back_is_not_in_the_plan(athlete):
    PrescriptionFactory(athlete=athlete, withdrawn_at=NOON)
    page = page_of(athlete)
    assert (page.running, page.ended) == ((), ())


def test_twenty_prescriptions_are_read_in_as_many_queries_as_one(athlete, short_stride, client_of, coach):
    client = client_of(coach)
    row = give(athlete, ROCK)
    row.reasons.update(session=short_stride)
    client.get(page_url(athlete))
    with CaptureQueriesContext(connection) as one:
        client.get(page_url(athlete))
    for key in list(InterventionVersion.objects.values_list("intervention__key", flat=True))[:19]:
        if key != ROCK:
            give(athlete, key, ended_on=DAY, ending="stopped").reasons.update(session=short_stride)
    with CaptureQueriesContext(connection) as many:
        answer = client.get(page_url(athlete))
    assert len(many) == len(one)
    assert len(many) <= 45
    assert len(answer.context["page"].ended) >= 18


def test_work_of_an_athlete_without_a_session_still_has_its_page(facility, client_of, coach):
    """Given for a landing that nobody measured: at which moment it would be read is not known."""
    given = PrescriptionFactory(reason={"metric": "elbow_flexion_fp", "direction": "low"})
    html = text_of(client_of(coach).get(page_url(given.athlete)))
    assert "Elbow flexion" in html
    assert "not measured" in html
