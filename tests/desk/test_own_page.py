"""The page of athletes and families: plain words, their own facts, and nothing of a session before it is shared."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from athletes.models import ViewLog
from tests import factories
from tests.desk.people import ago
from tests.factories import NOON

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "facility")]


def main_text(answer) -> str:
    body = answer.content.decode().split("<main", 1)[1].split("</main>")[0]
    return " ".join(strip_tags("<main" + body.replace("</", " </")).split())


@pytest.fixture
def home(client_of):
    return lambda user: main_text(client_of(user).get("/"))


def test_says_that_they_can_throw_and_within_which_limits(athlete, athlete_user, guardian, home):
    assert "You can throw. No limits today." in home(athlete_user)
    assert "Ikaika can throw." in home(guardian)
    factories.AvailabilityFactory(athlete=athlete, state="limited", limits="60 throws", valid_from=ago(1))
    assert "Keep to this: 60 throws." in home(athlete_user)


def test_says_that_they_are_stopped_and_what_must_happen(athlete, athlete_user, guardian, home):
    factories.PainReportFactory(athlete=athlete, where="elbow")
    for user, who in ((athlete_user, "You are"), (guardian, "Ikaika is")):
        text = home(user)
        assert f"{who} stopped: no throwing, no hard work." in text
        assert "Pain: elbow." in text
        assert "can throw" not in text


def test_away_is_neither_stopped_nor_free(athlete, athlete_user, home):
    factories.AvailabilityFactory(athlete=athlete, state="away", valid_from=ago(1), until=ago(-5))
    text = home(athlete_user)
    assert "You are away. Until 19 April." in text
    assert "can throw" not in text


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
    hidden = (*numbers, *words, str(session.uuid))
    for user in (athlete_user, guardian):
        for url in ("/", f"/mine/{athlete.uuid}/", f"/athletes/{athlete.uuid}/"):
            answer = client_of(user).get(url)
            body = answer.content.decode().split("<main", 1)[1].split("</main>")[0]
            assert "12 April" in body, url
            assert "(motion capture)" in body
            assert str(coach) in body
            addresses_away = re.sub(r"/(mine|athletes)/[0-9a-f-]+/", "", body)
            for word in hidden:
                assert word not in addresses_away, (url, word)


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


def syllables(word: str) -> int:
    groups = len(re.findall(r"[aeiouy]+", word.lower()))
    return max(1, groups - (word.lower().endswith("e") and not word.lower().endswith("le") and groups > 1))


def reading_grade(text: str) -> float:
    """Grade of school by Kincaid, Fishburne, Rogers and Chissom (1975): 0.39 words a sentence + 11.8 syllables a
    word − 15.59. Syllables are counted as groups of vowels, without a silent last e."""
    sentences = [part for part in re.split(r"[.?!:→]+", text) if re.search(r"[A-Za-z]{2}", part)]
    words = re.findall(r"[A-Za-z’]+", text)
    return 0.39 * len(words) / len(sentences) + 11.8 * sum(map(syllables, words)) / len(words) - 15.59


def test_the_measure_of_reading_knows_easy_from_hard():
    assert reading_grade("The cat sat on the mat. It was a big cat.") < 2
    assert reading_grade("Biomechanical assessment necessitates comprehensive interpretation of measurements.") > 12


@pytest.mark.parametrize("hurt", [False, True])
def test_the_words_can_be_read_at_twelve(hurt, athlete, athlete_user, home):
    """Grade 7 is the age of about twelve."""
    factories.CaptureSessionFactory(athlete=athlete, date=ago(2))
    if hurt:
        factories.PainReportFactory(athlete=athlete)
    assert reading_grade(home(athlete_user)) <= 7
