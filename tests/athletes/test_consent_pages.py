"""Consent online: who may agree, to what; and what follows when it is taken back."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.urls import reverse

from athletes.facts import has_consent
from athletes.models import Consent
from metrics.services.stale import sessions_that_lag
from tests import factories

DAY = factories.DAY

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("facility", "clock")]


@pytest.fixture
def text():
    return factories.ConsentTextFactory(version="1", body="We measure how you throw.")


@pytest.fixture
def child(guardian, coach):
    child = factories.AthleteFactory(given_name="Noor", consent=False, responsible_coach=coach)
    factories.GuardianshipFactory(guardian=guardian, athlete=child, relation="mother")
    return child


def agreed(**changed: str) -> dict[str, str]:
    return {"given_by_name": "Ana Ruiz", "relation": "mother", "agreed": "on", "version": "1", **changed}


def agree_page(athlete) -> str:
    return reverse("athletes:agree", args=[athlete.uuid])


def back_page(athlete) -> str:
    return reverse("athletes:consent-withdraw", args=[athlete.uuid])


def test_a_guardian_reads_the_text_and_agrees(child, guardian, text, client_of):
    client = client_of(guardian)
    page = client.get(agree_page(child)).content.decode()
    assert "We measure how you throw." in page
    assert re.search(r'<input[^>]*name="agreed"[^>]*>', page)[0].find("checked") == -1
    assert client.post(agree_page(child), agreed()).status_code == 302
    row = Consent.objects.get()
    assert (row.given_by, row.given_by_name, row.relation, row.text, row.given_on) == (
        guardian,
        "Ana Ruiz",
        "mother",
        text,
        DAY,
    )
    assert has_consent(child, DAY)


@pytest.mark.parametrize("wrong", [{"agreed": ""}, {"given_by_name": " "}, {"version": "0"}])
def test_what_is_not_agreed_in_full_is_no_consent(child, guardian, text, client_of, wrong):
    assert client_of(guardian).post(agree_page(child), agreed(**wrong)).status_code == 422
    assert not Consent.objects.exists()


def test_a_newer_text_asks_again_and_says_when_it_changed(child, guardian, text, client_of):
    client = client_of(guardian)
    client.post(agree_page(child), agreed())
    factories.ConsentTextFactory(version="2", valid_from=DAY, body="We also film.")
    page = client.get(agree_page(child)).content.decode()
    assert "The text changed on 14 April 2026" in page
    assert client.post(agree_page(child), agreed(version="1")).status_code == 422
    assert client.post(agree_page(child), agreed(version="2")).status_code == 302


@pytest.mark.parametrize(("name", "status"), [("coach", 403), ("admin", 403), ("stranger", 404), (None, 302)])
def test_nobody_else_agrees_or_takes_back(child, text, request, client_of, name, status):
    client = client_of(request.getfixturevalue(name) if name else None)
    for page in (agree_page(child), back_page(child)):
        assert client.post(page, agreed()).status_code == status
    assert not Consent.objects.exists()


def test_a_guardian_does_not_agree_for_another_child(child, guardian, text, other_athlete, client_of):
    answer = client_of(guardian).post(agree_page(other_athlete), agreed())
    assert answer.status_code == 404
    assert not Consent.objects.filter(given_by=guardian).exists()


def test_a_minor_does_not_agree_and_the_athlete_of_age_does(child, text, athlete_user, client_of):
    child.account = athlete_user
    child.save()
    assert client_of(athlete_user).post(agree_page(child), agreed()).status_code == 403
    child.birth_date = dt.date(2008, 4, 14)
    child.save()
    assert client_of(athlete_user).post(agree_page(child), agreed(relation="the athlete")).status_code == 302


def test_one_guardian_takes_back_what_the_other_gave_and_work_stops(child, guardian, text, coach, client_of):
    other = factories.UserFactory(role="guardian")
    factories.GuardianshipFactory(guardian=other, athlete=child)
    client_of(other).post(agree_page(child), agreed())
    factories.CaptureSessionFactory(athlete=child)
    assert sessions_that_lag().count() == 1
    assert client_of(guardian).post(back_page(child)).status_code == 302
    child.refresh_from_db()
    assert child.consent_withdrawn_on == DAY
    assert not has_consent(child, DAY)
    assert not sessions_that_lag()
    record = client_of(coach).get(reverse("desk:record", args=[child.uuid])).content.decode()
    assert "Consent withdrawn on 14 April 2026" in record


def test_consent_is_given_again_later(child, guardian, text, client_of):
    client = client_of(guardian)
    client.post(agree_page(child), agreed())
    client.post(back_page(child))
    client.post(agree_page(child), agreed())
    child.refresh_from_db()
    assert child.consent_withdrawn_on is None
    assert has_consent(child, DAY)
