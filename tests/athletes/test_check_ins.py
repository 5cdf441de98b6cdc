"""The check-in: one answer a tap, the last of a day counts, pain always reports pain and only a clearance ends it."""

from __future__ import annotations

import datetime as dt

import pytest
from django.contrib.messages import get_messages
from django.core.exceptions import ValidationError

from athletes.facts import came_at, check_in_on, know, needs_height_on, stopped_on
from athletes.models import Athlete, BodySize, ChangeLog, CheckIn, Feeling, PainReport, ViewLog
from athletes.services.check_ins import check_in, take_back_check_in
from tests import factories
from tests.conftest import CAST

DAY = factories.DAY
MAY = {"admin", "coach", "athlete_user", "guardian"}
TIED = {*MAY, "visiting_coach", "clinician"}
SCRIPT = {"HX-Request": "true"}

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("facility", "clock")]


def said(athlete) -> str | None:
    answer = check_in_on(athlete, DAY)
    return answer and answer.said


# ---- the service and the fact


def test_the_last_answer_of_the_day_counts_and_one_taken_back_does_not(athlete, coach, clock):
    check_in(athlete=athlete, feeling="fine", by=coach, is_here=True)
    clock.move(minutes=5)
    sore = check_in(athlete=athlete, feeling="sore", words="  forearm\n", by=coach, is_here=True)
    assert (said(athlete), check_in_on(athlete, DAY + dt.timedelta(days=1))) == ("sore muscles: forearm", None)
    take_back_check_in(check_in=sore, by=coach)
    assert said(athlete) == "fine"
    actions = ChangeLog.objects.order_by("id").values_list("action", flat=True)
    assert list(actions) == ["checkin.given", "checkin.given", "checkin.withdrawn"]


def test_the_same_answer_twice_is_one_row(athlete, coach):
    first = check_in(athlete=athlete, feeling="sore", words="forearm", by=coach, is_here=True)
    assert check_in(athlete=athlete, feeling="sore", words="Forearm ", by=coach, is_here=True) == first
    assert CheckIn.objects.count() == 1
    check_in(athlete=athlete, feeling="fine", by=coach, is_here=True)
    check_in(athlete=athlete, feeling="sore", words="forearm", by=coach, is_here=True)
    assert CheckIn.objects.count() == 3


def test_arriving_after_the_same_answer_from_home_is_news(athlete, coach, guardian):
    check_in(athlete=athlete, feeling="fine", by=guardian, is_here=True)
    assert came_at(athlete, DAY) is None  # a family answers from home, whatever it sends
    check_in(athlete=athlete, feeling="fine", by=coach, is_here=True)
    assert came_at(athlete, DAY) == factories.NOON


def test_pain_makes_a_report_that_stops_at_once_and_stays_when_the_answer_is_taken_back(athlete, guardian, coach):
    since = DAY - dt.timedelta(days=1)
    row = check_in(athlete=athlete, feeling="pain", words="elbow", how_much=6, since=since, by=guardian)
    report = PainReport.objects.get()
    assert (row.pain_report, report.where, report.how_much, report.since) == (report, "elbow", 6, since)
    assert report.reported_by == guardian
    take_back_check_in(check_in=row, by=coach)
    assert said(athlete) is None
    assert stopped_on(athlete, DAY).reason == "pain: elbow"


def test_pain_said_twice_is_one_report_and_after_a_clearance_a_new_one(athlete, coach, clock):
    row = check_in(athlete=athlete, feeling="pain", words="elbow", by=coach)
    assert check_in(athlete=athlete, feeling="pain", words="elbow", by=coach) == row
    check_in(athlete=athlete, feeling="fine", by=coach)
    check_in(athlete=athlete, feeling="pain", words="Elbow", by=coach)
    assert PainReport.objects.count() == 1
    factories.ClearanceFactory(report=PainReport.objects.get())
    check_in(athlete=athlete, feeling="pain", words="elbow", by=coach)
    assert PainReport.objects.count() == 2
    clock.move(minutes=1)
    check_in(athlete=athlete, feeling="pain", words="shoulder", by=coach)
    assert stopped_on(athlete, DAY).reason == "pain: shoulder, elbow"


@pytest.mark.parametrize(
    "wrong",
    [
        {"feeling": "great"},
        {"feeling": ""},
        {"feeling": "pain"},
        {"feeling": "pain", "words": "  "},
        {"feeling": "pain", "words": "elbow", "how_much": 11},
        {"feeling": "pain", "words": "elbow", "since": DAY + dt.timedelta(days=1)},
        {"feeling": "pain", "words": "e" * 100},  # the place of a pain is shorter than a word of soreness may be
        {"feeling": "sore", "words": "f" * 5000},
    ],
)
def test_a_wrong_answer_stores_nothing(athlete, coach, wrong):
    with pytest.raises(ValidationError):
        check_in(athlete=athlete, by=coach, **wrong)
    assert not CheckIn.everything.exists()
    assert not PainReport.objects.exists()
    assert not ChangeLog.objects.exists()


def test_while_consent_is_withdrawn_only_pain_is_taken_down(athlete, coach):
    Athlete.objects.filter(pk=athlete.pk).update(consent_withdrawn_on=DAY)
    with pytest.raises(ValidationError, match="Consent was withdrawn on 14 April 2026:"):
        check_in(athlete=athlete, feeling="fine", by=coach)
    assert check_in(athlete=athlete, feeling="pain", words="elbow", by=coach).pain_report is not None


def test_the_day_is_the_facilitys_on_both_sides_of_its_midnight(athlete, coach, clock):
    """04:59 UTC is 23:59 of the day before in Chicago, which keeps UTC−5 in April."""
    clock.now = dt.datetime(2026, 4, 15, 4, 59, tzinfo=dt.UTC)
    check_in(athlete=athlete, feeling="fine", by=coach)
    clock.move(minutes=2)
    check_in(athlete=athlete, feeling="fine", by=coach)
    assert set(CheckIn.objects.values_list("date", flat=True)) == {DAY, DAY + dt.timedelta(days=1)}


def test_a_list_is_answered_without_a_query_an_athlete(coach, django_assert_num_queries):
    for _ in range(3):
        factories.CheckInFactory(athlete=factories.AthleteFactory(), feeling=Feeling.SORE, words="forearm")
    rows = list(Athlete.objects.all())
    know(rows, DAY)
    with django_assert_num_queries(0):
        assert [said(row) for row in rows] == ["sore muscles: forearm"] * 3
        assert not any(needs_height_on(row, DAY) for row in rows)


@pytest.mark.parametrize(
    ("born", "measured", "asked"),
    [
        ("2010-02-10", 90, False),
        ("2010-02-10", 91, True),
        ("2010-02-10", None, True),
        ("2008-04-15", 91, True),  # of age tomorrow
        ("2008-04-14", 91, False),
        ("2008-04-14", None, False),
    ],
)
def test_who_still_grows_is_measured_every_ninety_days(born, measured, asked):
    size = {} if measured is None else {"date": DAY - dt.timedelta(days=measured), "height_cm": 170.0}
    athlete = factories.AthleteFactory(birth_date=dt.date.fromisoformat(born), body_size=size)
    assert needs_height_on(athlete, DAY) is asked


# ---- the pages


def status_for(name: str, otherwise: int) -> int:
    if name not in TIED:
        return 404
    return otherwise if name in MAY else 403


@pytest.mark.parametrize("name", CAST)
def test_who_may_check_in(cast, client_of, name):
    client, address = client_of(cast[name]), f"/athletes/{cast.athlete.uuid}/check-in/"
    assert client.get(address).status_code == status_for(name, 200)
    answer = client.post(address, {"feeling": "sore", "words": "forearm", "is_here": "1"})
    assert answer.status_code == status_for(name, 302)
    assert CheckIn.objects.count() == (1 if name in MAY else 0)
    if name in MAY:
        assert CheckIn.objects.get().is_here is (name in {"admin", "coach"})
        assert ViewLog.objects.filter(who=cast[name].uuid).exists() is (name != "athlete_user")


@pytest.mark.parametrize("name", CAST)
def test_staff_take_back_any_answer_and_the_family_its_own(cast, client_of, name):
    theirs = factories.CheckInFactory(athlete=cast.athlete, by=cast["coach"])
    own = factories.CheckInFactory(athlete=cast.athlete, by=cast[name])
    staff = name in {"admin", "coach"}
    for row, welcome in ((theirs, staff), (own, name in MAY)):
        answer = client_of(cast[name]).post(f"/athletes/{cast.athlete.uuid}/check-in/{row.uuid}/take-back/")
        assert answer.status_code == (302 if welcome else 404 if name not in TIED else 403)
        row.refresh_from_db()
        assert (row.withdrawn_at is not None) is welcome


def test_an_answer_of_somebody_else_is_not_reached_through_an_athlete(cast, client_of):
    row = factories.CheckInFactory(athlete=cast.other_athlete)
    client = client_of(cast["coach"])
    assert client.post(f"/athletes/{cast.athlete.uuid}/check-in/{row.uuid}/take-back/").status_code == 404


def test_pain_without_a_place_asks_for_it_and_stores_nothing(cast, client_of):
    client, address = client_of(cast["coach"]), f"/athletes/{cast.athlete.uuid}/check-in/"
    assert "Where" in client.get(address, {"feeling": "pain"}).content.decode()
    answer = client.post(address, {"feeling": "pain"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Pain stops throwing" in page
    assert not PainReport.objects.exists()
    sent = {"feeling": "pain", "where": "elbow", "how_much": "6", "since": "2026-04-13", "is_here": "1"}
    client.post(address, sent)
    assert CheckIn.objects.get().pain_report == PainReport.objects.get()
    assert CheckIn.objects.get().is_here


def test_a_word_that_comes_with_pain_is_its_place(cast, client_of):
    address = f"/athletes/{cast.athlete.uuid}/check-in/"
    client_of(cast["guardian"]).post(address, {"feeling": "pain", "words": "elbow"})
    assert PainReport.objects.get().where == "elbow"


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"feeling": "great"}, "“great” is no answer. Say fine, sore muscles or pain."),
        ({}, "Say fine, sore muscles or pain."),
        ({"feeling": "sore", "words": "f" * 5000}, "At most 120 characters fit; these are 5000."),
    ],
)
@pytest.mark.parametrize("headers", [{}, SCRIPT], ids=["page", "script"])
def test_a_refused_answer_says_why(cast, client_of, sent, sentence, headers):
    answer = client_of(cast["coach"]).post(f"/athletes/{cast.athlete.uuid}/check-in/", sent, headers=headers)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not CheckIn.objects.exists()


def test_the_script_gets_the_line_with_its_notice_and_the_lists_hear_of_it(cast, client_of):
    answer = client_of(cast["coach"]).post(
        f"/athletes/{cast.athlete.uuid}/check-in/?next=/%3Fhere_group=x", {"feeling": "sore"}, headers=SCRIPT
    )
    line = answer.content.decode()
    assert answer["HX-Trigger"] == "checked-in"
    assert "<html" not in line
    assert f'id="sore-{cast.athlete.uuid}" aria-pressed="true"' in line
    assert 'name="words" maxlength="120"' in line
    assert 'id="notices" hx-swap-oob="innerHTML"' in line
    assert "Ikaika Brandvold: sore muscles." in line
    row = CheckIn.objects.get()
    assert f"/check-in/{row.uuid}/take-back/?next=%2F%3Fhere_group%3Dx" in line


def test_without_a_script_one_comes_back_to_where_the_answer_was_given_with_an_undo(cast, client_of):
    client = client_of(cast["coach"])
    answer = client.post(f"/athletes/{cast.athlete.uuid}/check-in/?next=/", {"feeling": "fine", "is_here": "1"})
    (message,) = get_messages(answer.wsgi_request)
    undo = message.extra_tags.removeprefix("undo:")
    assert (answer["Location"], str(message)) == ("/", "Ikaika Brandvold: fine.")
    taken_back = client.post(undo)
    assert taken_back["Location"] == "/"
    assert not CheckIn.objects.exists()


def test_taking_back_pain_says_that_the_report_stays(cast, client_of):
    row = check_in(athlete=cast.athlete, feeling="pain", words="elbow", by=cast["guardian"])
    answer = client_of(cast["guardian"]).post(f"/athletes/{cast.athlete.uuid}/check-in/{row.uuid}/take-back/")
    (message,) = get_messages(answer.wsgi_request)
    assert "only a clearance ends it" in str(message)
    assert PainReport.objects.open().exists()


@pytest.mark.parametrize("name", CAST)
def test_a_height_is_taken_in_passing_by_staff_alone(cast, client_of, name):
    before = BodySize.objects.count()
    answer = client_of(cast[name]).post(
        f"/athletes/{cast.athlete.uuid}/check-in/height/?next=/", {"height_cm": "6'1\""}
    )
    staff = name in {"admin", "coach"}
    assert answer.status_code == (302 if staff else 404 if name not in TIED else 403)
    assert BodySize.objects.count() - before == (1 if staff else 0)


def test_a_height_that_cannot_be_stays_in_its_box_with_the_reason(cast, client_of):
    BodySize.objects.all().delete()
    address = f"/athletes/{cast.athlete.uuid}/check-in/height/"
    answer = client_of(cast["coach"]).post(address, {"height_cm": "7'13\""}, headers=SCRIPT)
    line = answer.content.decode()
    assert answer.status_code == 422
    assert 'role="alert"' in line
    assert "7&#x27;13&quot;" in line
    assert not BodySize.objects.exists()


def test_words_are_text_in_the_line(cast, client_of):
    sent = {"feeling": "sore", "words": "<b>arm"}
    address = f"/athletes/{cast.athlete.uuid}/check-in/"
    line = client_of(cast["coach"]).post(address, sent, headers=SCRIPT).content.decode()
    assert "&lt;b&gt;arm" in line
    assert "<b>arm" not in line
