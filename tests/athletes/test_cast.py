"""The factories make valid rows, the cast sees what its ties allow, and the run keeps its promises."""

from __future__ import annotations

import socket

import pytest
from django.db.models import JSONField
from django.utils import timezone

from athletes.models import Athlete
from tests import factories
from tests.conftest import CAST

SEES = {
    "admin": {"athlete", "other"},
    "coach": {"athlete", "other"},
    "visiting_coach": {"athlete"},
    "clinician": {"athlete"},
    "athlete_user": {"athlete"},
    "other_athlete_user": {"other"},
    "guardian": {"athlete"},
    "stranger": set(),
}

EVERY_FACTORY = [made for name, made in vars(factories).items() if name.endswith("Factory")]


@pytest.mark.parametrize("name", CAST)
def test_each_of_the_cast_sees_exactly_their_athletes(cast, name):
    names = {cast.athlete.pk: "athlete", cast.other_athlete.pk: "other"}
    assert {names[row.pk] for row in Athlete.objects.visible_to(cast[name])} == SEES[name]


def test_inactive_account_sees_nobody(coach, athlete):
    coach.is_active = False
    assert not Athlete.objects.visible_to(coach).exists()


@pytest.mark.django_db
@pytest.mark.parametrize("made", EVERY_FACTORY, ids=lambda made: made.__name__)
def test_factory_makes_two_valid_rows(made):
    rows = (made(), made())
    assert all(row.pk for row in rows)
    for row in rows:
        # "Blank" is a form's word: the table takes an empty JSON map, and nothing where null is allowed.
        blank = [
            field.name
            for field in row._meta.fields
            if not getattr(row, field.name) and (field.null or isinstance(field, JSONField))
        ]
        row.full_clean(exclude=["id", *blank])


@pytest.mark.django_db
def test_athlete_without_level_size_or_consent_can_be_asked_for():
    person = factories.AthleteFactory(level="", body_size={}, consent=False)
    assert [person.levels.count(), person.body_sizes.count(), person.consents.count()] == [0, 0, 0]


def test_signed_in_client_is_that_account(client_of, coach, client):
    assert client_of(coach).session["_auth_user_id"] == str(coach.pk)
    assert "_auth_user_id" not in client_of(None).session


def test_clock_stands_still_until_moved(clock):
    assert timezone.now() == timezone.now() == factories.NOON
    clock.move(hours=1)
    assert (timezone.now() - factories.NOON).total_seconds() == 3600


def test_calling_out_fails():
    with socket.socket() as outside, pytest.raises(AssertionError, match="tried to reach"):
        outside.connect(("192.0.2.1", 80))  # TEST-NET-1, RFC 5737: belongs to nobody
