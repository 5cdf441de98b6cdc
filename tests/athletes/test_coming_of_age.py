"""At 18 the athlete says who in the family goes on reading."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from athletes.models import Athlete, Guardianship
from tests import factories

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("facility", "clock")]


@pytest.fixture
def grown(athlete):
    """18 today; two guardians are tied."""
    athlete.birth_date = dt.date(2008, 4, 14)
    athlete.save()
    return athlete


def people(athlete) -> str:
    return reverse("athletes:my-people", args=[athlete.uuid])


def let_read(athlete, guardian) -> str:
    return reverse("athletes:let-read", args=[athlete.uuid, guardian.uuid])


def sees(guardian, athlete) -> bool:
    return Athlete.objects.visible_to(guardian).filter(pk=athlete.pk).exists()


def test_a_guardian_reads_until_the_birthday(athlete, guardian, clock):
    athlete.birth_date = dt.date(2008, 4, 15)
    athlete.save()
    assert sees(guardian, athlete)
    clock.move(days=1)
    assert not sees(guardian, athlete)


def test_the_athlete_keeps_one_guardian_and_not_the_other(grown, athlete_user, guardian, client_of):
    other = factories.UserFactory(role="guardian")
    factories.GuardianshipFactory(guardian=other, athlete=grown)
    client = client_of(athlete_user)
    assert str(guardian) in client.get(people(grown)).content.decode()
    assert client.post(let_read(grown, guardian), {"may": "yes"}).status_code == 302
    assert (sees(guardian, grown), sees(other, grown)) == (True, False)
    client.post(let_read(grown, guardian), {"may": "no"})
    assert not sees(guardian, grown)


def test_a_minor_does_not_decide(athlete, athlete_user, guardian, client_of):
    client = client_of(athlete_user)
    assert client.get(people(athlete)).status_code == 403
    assert client.post(let_read(athlete, guardian), {"may": "yes"}).status_code == 403


@pytest.mark.parametrize(("name", "status"), [("guardian", 404), ("coach", 403), ("other_athlete_user", 404)])
def test_nobody_decides_for_the_athlete(grown, guardian, request, client_of, name, status):
    client = client_of(request.getfixturevalue(name))
    assert client.post(let_read(grown, guardian), {"may": "yes"}).status_code == status
    assert Guardianship.objects.get(athlete=grown, guardian=guardian).kept_on is None


def test_a_guardian_who_is_not_tied_is_not_there(grown, athlete_user, client_of):
    stranger = factories.UserFactory(role="guardian")
    assert client_of(athlete_user).post(let_read(grown, stranger), {"may": "yes"}).status_code == 404
