"""From suggestion to plan in two taps, giving by hand, and what is refused in words with nothing half stored."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from athletes.models import Athlete
from plans.models import InterventionVersion, Prescription
from plans.services.library import write_version
from plans.services.prescribing import dose_of
from tests.conftest import CAST
from tests.factories import DAY, AvailabilityFactory, GuardianshipFactory, PainReportFactory
from tests.factories.plans import PrescriptionFactory
from tests.plans.conftest import WEEK
from tests.plans.plan_scenes import (
    ARM,
    LUNGE,
    ROCK,
    STEP,
    STRIDE,
    TIED,
    give_url,
    page_url,
    posted,
    recurring_stride,
    tie,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


@pytest.fixture
def short_stride(athlete):
    return recurring_stride(athlete)


@pytest.fixture
def client(client_of, coach):
    return client_of(coach)


def text_of(answer) -> str:
    return answer.content.decode()


def test_two_taps_lead_from_the_suggestion_to_the_plan(client, athlete, short_stride):
    page = client.get(page_url(athlete))
    address = re.search(r'href="([^"]+)">Use this plan', text_of(page))[1].replace("&amp;", "&")
    form = client.get(address)
    answer = client.post(address, posted(form.context), follow=True)
    assert answer.redirect_chain[0][0] == page_url(athlete)
    body, drill = Prescription.objects.order_by("pk")
    assert [one.version.intervention.key for one in (body, drill)] == [ROCK, STEP]
    assert all(one.start == DAY and not one.is_shown for one in (body, drill))
    assert {one.follow_ups.get().due for one in (body, drill)} == {DAY + 4 * WEEK}
    assert dose_of(body) == body.version.value.dose_at(16)
    assert "In the plan" in text_of(answer)


def test_reasons_are_ticked_with_the_session_in_which_they_were_seen(client, athlete, short_stride):
    address = give_url(athlete, ROCK)
    client.post(address, posted(client.get(address).context))
    reasons = Prescription.objects.get().reasons.all()
    assert [(one.metric, one.direction, one.is_starting_point, one.session) for one in reasons] == [
        (STRIDE, "low", True, short_stride),
        (ARM, "low", False, short_stride),
    ]


def test_one_of_two_that_cannot_be_given_gives_none(client, athlete, short_stride):
    address = give_url(athlete, ROCK, STEP)
    data = posted(client.get(address).context, **{"w1-throws": "900", "w0-note": "Slowly."})
    answer = client.post(address, data)
    assert answer.status_code == 422
    assert "minutes a day" in text_of(answer)
    assert "Slowly." in text_of(answer)
    assert not Prescription.objects.exists()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"w0-sets": "0"}, "“0” is no dose"),
        ({"w0-sets": "three"}, "is not understood"),
        ({"w0-reps": "12 to 8"}, "Write the smaller number first."),
        ({"w0-reps": "2.5"}, "has a fraction"),
        ({"w0-days": "9"}, "A week has 7."),
        ({"w0-sets": ""}, "the number of sets is missing"),
        ({"w0-reasons": []}, "Say what it is for"),
        ({"due": "2026-01-01"}, "is not after the start"),
        ({"due": ""}, "This field is required."),
        ({"w0-supervision": "nobody"}, "Select a valid choice"),
        ({"w0-sets": "99999999"}, "is too much"),
    ],
)
def test_what_is_typed_wrongly_is_answered_in_words_and_kept(client, athlete, short_stride, typed, said):
    address = give_url(athlete, ROCK)
    answer = client.post(address, posted(client.get(address).context, **{"w0-note": "Slowly.", **typed}))
    assert answer.status_code == 422
    assert said in text_of(answer)
    assert "Slowly." in text_of(answer)
    assert not Prescription.objects.exists()


def test_a_date_that_cannot_be_is_said_once_for_a_plan_of_two(client, athlete, short_stride):
    address = give_url(athlete, ROCK, STEP)
    answer = client.post(address, posted(client.get(address).context, due=str(DAY)))
    assert text_of(answer).count("is not after the start") == 1


@pytest.mark.parametrize(
    ("typed", "reps"),
    [("8", (8, 8)), ("8 to 10", (8, 10)), ("8-10", (8, 10)), ("8 – 10", (8, 10)), (" 8to10 ", (8, 10))],
)
def test_amounts_are_typed_as_people_write_them(client, athlete, short_stride, typed, reps):
    address = give_url(athlete, ROCK)
    client.post(address, posted(client.get(address).context, **{"w0-reps": typed}))
    dose = dose_of(Prescription.objects.get())
    assert dose.reps == reps
    assert dose.basis == "house"


def test_a_load_is_taken_in_pounds_too(client, athlete, short_stride):
    address = give_url(athlete, _loaded())
    form = client.get(address)
    first = form.context["works"][0][1].options
    data = posted(form.context, **{"w0-load_kg": "2 to 4 lb", "w0-reasons": list(first)[:1]})
    client.post(address, data)
    assert dose_of(Prescription.objects.get()).load_kg == (0.9, 1.8)


def _loaded() -> str:
    return next(
        one.intervention.key
        for one in InterventionVersion.objects.all()
        if (dose := one.value.dose_at(16)) and dose.load_kg
    )


# ---- what is refused ------------------------------------------------------------------------------------


def test_a_hard_stop_is_said_instead_of_a_form(client, athlete, short_stride):
    AvailabilityFactory(athlete=athlete, state="limited", valid_from=DAY - WEEK)
    answer = client.get(give_url(athlete, ROCK, STEP))
    assert "No drill with throws while limited." in text_of(answer)
    assert "Give it" not in text_of(answer)


def test_work_without_a_dose_for_the_age_has_no_form(client, athlete, short_stride):
    Athlete.objects.filter(pk=athlete.pk).update(birth_date=DAY - dt.timedelta(days=366 * 11))
    answer = client.get(give_url(athlete, "slow_lowering_turn_back"))
    assert "Not for this age: it is for 13 and older." in text_of(answer)
    assert "Give it" not in text_of(answer)
    assert client.post(give_url(athlete, "slow_lowering_turn_back")).status_code == 422


def test_pain_reported_while_the_form_was_open_gives_nothing(client, athlete, short_stride):
    address = give_url(athlete, ROCK)
    data = posted(client.get(address).context)
    PainReportFactory(athlete=athlete)
    answer = client.post(address, data)
    assert answer.status_code == 422
    assert "Pain is open: a clinician comes first" in text_of(answer)
    assert not Prescription.objects.exists()


def test_a_soft_reason_is_a_caution_beside_the_form_and_a_coach_decides(client, athlete, short_stride):
    address = give_url(athlete, "refer_growth_plate")
    form = client.get(address)
    assert "Only where something hurts." in text_of(form)
    options = form.context["works"][0][1].options
    client.post(address, posted(form.context, **{"w0-reasons": [next(iter(options))]}))
    assert Prescription.objects.exists()


def test_what_is_in_the_plan_already_is_not_given_twice(client, athlete, short_stride):
    PrescriptionFactory(
        athlete=athlete, version=InterventionVersion.objects.get(intervention__key=ROCK), reason={"metric": STRIDE}
    )
    assert "is in the plan already" in text_of(client.get(give_url(athlete, ROCK)))


def test_a_library_that_changed_meanwhile_asks_to_look_again(client, athlete, short_stride, coach):
    address = give_url(athlete, ROCK)
    data = posted(client.get(address).context)
    version = InterventionVersion.objects.get(intervention__key=ROCK)
    write_version(intervention=version.intervention, fields=version.fields, seen=1, by=coach)
    answer = client.post(address, data)
    assert "The library was changed since you opened this form" in text_of(answer)
    assert not Prescription.objects.exists()
    assert client.post(address, posted(answer.context, **{"w0-seen": "2"})).status_code == 302


def test_more_minutes_than_a_day_holds_is_said_and_may_be_given(client, athlete, short_stride):
    for key in ("arm_care_warm_up",):
        version = InterventionVersion.objects.get(intervention__key=key)
        PrescriptionFactory(athlete=athlete, version=version, reason={"metric": ARM})
    answer = client.get(give_url(athlete, LUNGE))
    assert "15 is the most that is suggested" in text_of(answer)
    assert "Give it" in text_of(answer)


@pytest.mark.parametrize("keys", [(), ("no_such_work",), (ROCK, "no_such_work")])
def test_what_the_library_has_not_is_not_there(client, athlete, short_stride, keys):
    assert client.get(give_url(athlete, *keys)).status_code == 404


def test_work_withdrawn_from_the_library_is_not_given(client, athlete, short_stride):
    version = InterventionVersion.objects.get(intervention__key=ROCK)
    version.intervention.mark_withdrawn(None, "no longer")
    version.intervention.save()
    assert client.get(give_url(athlete, ROCK)).status_code == 404


@pytest.mark.parametrize("name", CAST)
@pytest.mark.parametrize("page", ["give", "choose"])
def test_only_staff_give(cast, client_of, name, page):
    tie(cast)
    recurring_stride(cast.athlete)
    address = give_url(cast.athlete, ROCK) if page == "give" else f"{page_url(cast.athlete)}choose/"
    expected = 200 if name in {"admin", "coach"} else 403 if name in TIED else 404
    assert client_of(cast[name]).get(address).status_code == expected


def test_without_consent_an_admin_is_told_why_nothing_is_given(athlete, short_stride, client_of, admin):
    Athlete.objects.filter(pk=athlete.pk).update(consent_withdrawn_on=DAY)
    assert "Consent is withdrawn" in text_of(client_of(admin).get(give_url(athlete, ROCK)))


# ---- by hand, and taking back ---------------------------------------------------------------------------


def test_the_library_is_searched_by_name(client, athlete, short_stride):
    answer = client.get(f"{page_url(athlete)}choose/?q=ROCKING%20leg")
    assert [one.value.key for one in answer.context["works"]] == [ROCK]
    assert "Nothing in the library has these words" in text_of(client.get(f"{page_url(athlete)}choose/?q=zzz"))


def test_what_was_never_measured_may_be_a_reason_by_what_the_work_is_meant_for(client, athlete, short_stride):
    address = give_url(athlete, "ball_on_back_of_shoulder")
    form = client.get(address)
    value = form.context["works"][0][0].value.answers[0]
    client.post(address, posted(form.context, **{"w0-reasons": [":".join(value)]}))
    reason = Prescription.objects.get().reasons.get()
    assert (reason.metric, reason.direction, reason.session) == (*value, None)


def test_undo_takes_back_all_that_was_given(client, athlete, short_stride):
    address = give_url(athlete, ROCK, STEP)
    answer = client.post(address, posted(client.get(address).context), follow=True)
    undo = re.search(r'action="([^"]+take-back[^"]+)"', text_of(answer))[1].replace("&amp;", "&")
    client.post(undo)
    assert not Prescription.objects.exists()
    assert Prescription.everything.count() == 2


@pytest.mark.parametrize("has_reader", [True, False])
def test_the_notice_names_no_reader_where_the_family_has_no_account(client, athlete, short_stride, has_reader):
    if has_reader:
        GuardianshipFactory(athlete=athlete)
    address = give_url(athlete, ROCK)
    text = text_of(client.post(address, posted(client.get(address).context, is_shown="on"), follow=True))
    assert ("The family reads it now." in text) is has_reader
    assert ("Nobody of the family has an account yet: invite them from the record." in text) is not has_reader


def test_a_follow_up_date_in_the_form_is_the_longest_of_the_works(client, athlete, short_stride):
    form = client.get(give_url(athlete, ROCK, LUNGE))
    assert form.context["plan"]["due"].value() == DAY + dt.timedelta(weeks=8)
