"""The page of athletes and families: plain words, their own facts, and nothing of a session before it is shared."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.urls import reverse

from athletes.models import ViewLog
from tests import factories
from tests.desk.families import main_text, shared, withdraw_every_consent
from tests.desk.people import ago
from tests.factories import NOON

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]


def test_says_when_and_how_they_were_measured_and_not_a_word_of_what_was_found(
    athlete, athlete_user, guardian, coach, client_of
):
    session = factories.CaptureSessionFactory(athlete=athlete, date=ago(2), setup="room 9")
    throw = factories.ThrowFactory(session=session, ball_speed_m_s=37.77)
    factories.ReadingFactory(throw=throw, values={"elbow_flexion_fp@fc": {"value": 83.21}})
    factories.ScoringFactory(session=session, throws=8, scored_throws=8, score=61.4)
    factories.FindingFactory(session=session, flag=True, mean=78.43)
    factories.StandingFactory(
        athlete=athlete, flags=[["elbow_flexion_fp", "low", "sure", "to_confirm"]], top_metric="elbow_flexion_fp",
        top_side="low", flags_new=1,
    )  # fmt: skip
    factories.NoteFactory(athlete=athlete, text="drops the elbow when tired")
    numbers = ("78", "83", "37.7", "84.5", "61")
    words = ("flag", "watch", "Elbow landing", "straight", "score", "drops the elbow", "room 9", "<svg")
    hidden = (*numbers, *words)
    for user in (athlete_user, guardian):
        for url in ("/", f"/mine/{athlete.uuid}/", f"/athletes/{athlete.uuid}/"):
            answer = client_of(user).get(url)
            body = answer.content.decode().split("<main", 1)[1].split("</main>")[0]
            assert "12 April" in body, url
            assert "(motion capture)" in body
            assert str(coach) in body
            assert str(session.uuid) not in body, url
            ids_away = re.sub(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}|csrfmiddlewaretoken[^>]*", "", body)
            for word in hidden:
                assert word not in ids_away, (url, word)


def test_height_and_weight_are_theirs_to_see(athlete, athlete_user, home):
    text = home(athlete_user)
    assert "Height 6′1″" in text
    assert "Weight 176 lb" in text


def test_who_looked_stands_once_a_person_and_day(athlete, athlete_user, guardian, coach, clinician, home):
    for who, days in ((coach, 1), (coach, 1), (coach, 2), (guardian, 1), (clinician, 3)):
        ViewLog.objects.create(
            when=NOON.replace(day=NOON.day - days), who=who.uuid, role=who.role, athlete_uuid=athlete.uuid, what="x"
        )
    text = home(athlete_user)
    assert text.count(f"{coach}, coach 13 April") == 1
    assert f"{coach}, coach 12 April" in text
    assert f"{clinician}, clinician 11 April" in text
    assert f"{guardian}, guardian 13 April" in text
    assert "You 13 April" in home(guardian)


def test_a_look_by_somebody_whose_account_is_gone_is_still_told(athlete, athlete_user, home):
    gone = factories.UserFactory()
    ViewLog.objects.create(when=NOON, who=gone.uuid, role="coach", athlete_uuid=athlete.uuid, what="record")
    gone.delete()
    assert "Somebody whose account is gone, coach" in home(athlete_user)


def test_notes_that_are_for_the_family_are_read_by_it_and_no_others(athlete, athlete_user, guardian, coach, client_of):
    factories.NoteFactory(athlete=athlete, text="Only for the staff.", author=coach)
    factories.NoteFactory(athlete=athlete, text="Sleep first, throw later.", for_family=True, author=coach)
    factories.NoteFactory(text="Of somebody else.", for_family=True, author=coach)
    withdrawn = factories.NoteFactory(athlete=athlete, text="Said by mistake.", for_family=True)
    withdrawn.mark_withdrawn(coach, "mistake")
    withdrawn.save()
    for user in (athlete_user, guardian, coach):
        text = main_text(client_of(user).get(reverse("desk:mine", args=[athlete.uuid])))
        assert f"Sleep first, throw later. {coach}, 14 April 2026" in text, user
        for hidden in ("Only for the staff", "Of somebody else", "Said by mistake"):
            assert hidden not in text, (user, hidden)


def test_earlier_notes_are_folded_away(athlete, athlete_user, client_of):
    for number in range(4):
        written_at = NOON - dt.timedelta(days=number)
        factories.NoteFactory(athlete=athlete, text=f"Word {number}", for_family=True, written_at=written_at)
    page = client_of(athlete_user).get("/").content.decode()
    shown, folded = page.split("Earlier notes")
    assert ("Word 1" in shown, "Word 2" in shown, "Word 2" in folded, "Word 3" in folded) == (True, False, True, True)


def test_pain_is_one_step_away(athlete, athlete_user, guardian, client_of):
    for user in (athlete_user, guardian):
        assert reverse("athletes:pain", args=[athlete.uuid]) in client_of(user).get("/").content.decode()


def test_a_guardian_of_two_chooses_and_sees_no_third(athlete, guardian, other_athlete, client_of):
    second = factories.AthleteFactory(given_name="Mateus", family_name="Lindqvist")
    factories.GuardianshipFactory(guardian=guardian, athlete=second)
    page = client_of(guardian).get("/").content.decode()
    assert "Whose page?" in page
    for child in (athlete, second):
        assert reverse("desk:mine", args=[child.uuid]) in page
        assert client_of(guardian).get(reverse("desk:mine", args=[child.uuid])).status_code == 200
    assert str(other_athlete.uuid) not in page
    assert client_of(guardian).get(reverse("desk:mine", args=[other_athlete.uuid])).status_code == 404


def test_an_account_without_an_athlete_is_told_whom_to_ask(client_of):
    lonely = factories.UserFactory(role="guardian")
    assert "ask" in main_text(client_of(lonely).get("/"))


def test_the_family_has_no_navigation_and_no_search(athlete, athlete_user, client_of):
    page = client_of(athlete_user).get("/").content.decode()
    assert 'aria-label="Main"' not in page
    assert 'role="search"' not in page


# ---- how do you feel today ------------------------------------------------------------------------------


def feel_of(page: str) -> dict[str, str]:
    """Which of the two answers is pressed."""
    return dict(re.findall(r'value="(fine|sore)" aria-pressed="(true|false)"', page))


def test_one_tap_says_how_they_feel_and_leads_back_here(athlete, athlete_user, guardian, client_of):
    for user, answer in ((athlete_user, "fine"), (guardian, "sore")):
        client = client_of(user)
        page = client.get(f"/mine/{athlete.uuid}/").content.decode()
        action = re.search(r'action="([^"]*/check-in/[^"]*)"', page)[1]
        sent = client.post(action, {"feeling": answer})
        assert sent.url == f"/mine/{athlete.uuid}/"
        pressed = feel_of(client.get(sent.url).content.decode())
        assert pressed == {"fine": "false", "sore": "false"} | {answer: "true"}
    assert [(row.feeling, row.is_here) for row in athlete.check_ins.order_by("at", "id")] == [
        ("fine", False),
        ("sore", False),
    ]


def test_yesterdays_answer_is_not_todays(athlete, athlete_user, client_of):
    factories.CheckInFactory(athlete=athlete, date=ago(1), feeling="fine")
    assert feel_of(client_of(athlete_user).get("/").content.decode()) == {"fine": "false", "sore": "false"}


def test_sore_muscles_are_asked_for_their_place(athlete, athlete_user, client_of):
    client = client_of(athlete_user)
    assert 'id="sore-where"' not in client.get("/").content.decode()
    factories.CheckInFactory(athlete=athlete, feeling="sore", words="forearm")
    assert 'id="sore-where" name="words" maxlength="120" value="forearm"' in client.get("/").content.decode()


def test_pain_leads_to_the_report_and_is_no_mere_answer(athlete, athlete_user, client_of):
    client = client_of(athlete_user)
    page = client.get("/").content.decode()
    address = f"/athletes/{athlete.uuid}/pain/?next=/mine/{athlete.uuid}/"
    assert f'<a class="p" href="{address}">pain</a>' in page
    assert 'value="pain"' not in page
    assert client.post(address, {"where": "elbow"}).url == f"/mine/{athlete.uuid}/"
    assert "Pain: elbow." in main_text(client.get(f"/mine/{athlete.uuid}/"))


def test_a_coach_who_looks_cannot_answer_for_the_family_by_a_slip(athlete, coach, client_of):
    page = client_of(coach).get(f"/mine/{athlete.uuid}/").content.decode()
    assert '<fieldset class="feel" disabled>' in page


def test_open_pain_says_that_only_a_doctor_ends_the_stop_and_not_who_told_of_it(athlete, athlete_user, coach, home):
    factories.PainReportFactory(athlete=athlete, reported_by=coach)
    text = home(athlete_user)
    assert "Pain was reported. Only a doctor’s yes ends the stop." in text
    assert "You told" not in text


# ---- consent --------------------------------------------------------------------------------------------


@pytest.fixture
def without_consent(athlete):
    athlete.consents.all().delete()
    return athlete


def test_a_guardian_is_asked_to_agree_before_a_minor_is_measured(without_consent, guardian, athlete_user, coach, home):
    assert "We need your yes before we measure Ikaika." in home(guardian)
    assert "Ask a parent or guardian to open this page and say yes." in home(athlete_user)
    assert "Nothing yet. When we film" not in home(guardian)


def test_whoever_has_agreed_is_not_asked(athlete, guardian, home):
    text = home(guardian)
    assert "say yes" not in text
    assert "your yes" not in text


def test_a_consent_that_was_taken_back_is_told_with_its_day_and_the_way_back(athlete, athlete_user, guardian, home):
    withdraw_every_consent(athlete, guardian)
    text = home(guardian)
    assert "The yes to being measured was taken back on 13 April 2026." in text
    assert "read the text and agree again" in text
    assert "How does Ikaika feel" not in text
    assert "Report pain" in text
    assert "Ask a parent or guardian" in home(athlete_user)


def test_of_age_the_athlete_agrees_alone_and_nobody_is_asked_without_need(athlete, athlete_user, home):
    type(athlete).objects.filter(pk=athlete.pk).update(birth_date=ago(18 * 366))
    athlete.consents.all().delete()
    assert "your yes" not in home(athlete_user)
    factories.ConsentFactory(athlete=athlete)
    withdraw_every_consent(athlete, athlete_user)
    assert "read the text and agree again" in home(athlete_user)


def test_of_age_only_a_guardian_whom_the_athlete_keeps_reads_on(athlete, athlete_user, guardian, client_of, home):
    type(athlete).objects.filter(pk=athlete.pk).update(birth_date=ago(18 * 366))
    assert client_of(guardian).get(f"/mine/{athlete.uuid}/").status_code == 404
    athlete.guardianships.update(kept_on=ago(1))
    assert "Ikaika can throw." in home(guardian)
    withdraw_every_consent(athlete, athlete_user)
    assert "Ikaika is of age, and says yes or no." in home(guardian)


# ---- speed ----------------------------------------------------------------------------------------------


def fill(athlete, coach, number: int) -> None:
    for days in range(number, 2 * number):
        shared(athlete, days=days)
        factories.CaptureSessionFactory(athlete=athlete, date=ago(1))
        factories.CheckInFactory(athlete=athlete)
        factories.BodySizeFactory(athlete=athlete, date=ago(60 + days))
        looker = factories.UserFactory()
        ViewLog.objects.create(when=NOON, who=looker.uuid, role="coach", athlete_uuid=athlete.uuid, what="record")


@pytest.mark.parametrize("name", ["athlete_user", "guardian", "coach"])
def test_the_page_asks_as_often_with_thirty_sessions_as_with_one(name, cast, client_of, django_assert_max_num_queries):
    """Eighteen; the look of somebody else is written by one more."""
    client = client_of(cast[name])
    asked = []
    for number in (1, 29):
        fill(cast.athlete, cast["coach"], number)
        with django_assert_max_num_queries(18 + (name != "athlete_user")) as queries:
            client.get(f"/mine/{cast.athlete.uuid}/")
        asked.append(len(queries))
    assert asked[0] == asked[1]


@pytest.mark.parametrize("name", ["athlete_user", "guardian"])
def test_the_first_page_asks_once_more_whose_page_it_is(name, cast, client_of, django_assert_max_num_queries):
    fill(cast.athlete, cast["coach"], 3)
    client = client_of(cast[name])
    with django_assert_max_num_queries(19 + (name != "athlete_user")):
        assert "Your step is short" in client.get("/").content.decode()
