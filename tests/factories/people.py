"""People and what is known of them. All are invented."""

from __future__ import annotations

import datetime as dt
from typing import Any

import factory
from factory.django import DjangoModelFactory

from athletes import models as athletes
from tests.factories.days import DAY, LONG_AGO, NOON

GIVEN_NAMES = ("Ikaika", "Lucía", "Tadhg", "Wiremu", "Kwabena", "Piotr", "Arjun", "Ngaire", "Sione", "Zofia")
FAMILY_NAMES = ("Brandvold", "Strand", "Okonjo", "Achterberg", "Sørlie", "Adeyemi", "Villaseñor", "Abaza")


class FacilityFactory(DjangoModelFactory):
    class Meta:
        model = athletes.Facility
        django_get_or_create = ("id",)

    id = 1
    name = "Riverbend Throwing"
    time_zone = "America/Chicago"
    units = "us"
    age_of_consent = 18


class UserFactory(DjangoModelFactory):
    """An account by role: `UserFactory(role="clinician")`. The password is not usable; tests sign in by force."""

    class Meta:
        model = athletes.User
        skip_postgeneration_save = True

    role = "coach"
    username = factory.LazyAttributeSequence(lambda user, n: f"{user.role}-{n}")
    first_name = factory.Sequence(lambda n: GIVEN_NAMES[n % len(GIVEN_NAMES)])
    last_name = factory.Sequence(lambda n: f"{FAMILY_NAMES[n % len(FAMILY_NAMES)]}-{n}")
    password = "!"
    is_staff = factory.LazyAttribute(lambda user: user.role == "admin")


class AthleteFactory(DjangoModelFactory):
    """A pitcher of 16 with a level, a body size and a guardian's consent.

    `level=""`, `body_size={}` and `consent=False` leave that out; `body_size={"height_cm": 140}` sets it.
    """

    class Meta:
        model = athletes.Athlete
        skip_postgeneration_save = True

    given_name = factory.Sequence(lambda n: GIVEN_NAMES[n % len(GIVEN_NAMES)])
    family_name = factory.Sequence(lambda n: f"{FAMILY_NAMES[n % len(FAMILY_NAMES)]}-{n}")
    birth_date = dt.date(2010, 2, 10)
    throws = "right"

    @factory.post_generation
    def level(self, create: bool, value: str | None, **extra: Any) -> None:
        if create and value != "":
            LevelPeriodFactory(athlete=self, level=value or "high_school")

    @factory.post_generation
    def body_size(self, create: bool, value: dict[str, float] | None, **extra: Any) -> None:
        if create and value != {}:
            BodySizeFactory(athlete=self, **(value or {}))

    @factory.post_generation
    def consent(self, create: bool, value: bool | None, **extra: Any) -> None:
        if create and value is not False:
            ConsentFactory(athlete=self)


class LevelPeriodFactory(DjangoModelFactory):
    class Meta:
        model = athletes.LevelPeriod

    athlete = factory.SubFactory(AthleteFactory, level="")
    valid_from = LONG_AGO
    level = "high_school"


class BodySizeFactory(DjangoModelFactory):
    class Meta:
        model = athletes.BodySize

    athlete = factory.SubFactory(AthleteFactory, body_size={})
    date = dt.date(2026, 4, 2)
    height_cm = 185.0
    mass_kg = 80.0
    arm_span_cm = 187.0


class ConsentTextFactory(DjangoModelFactory):
    class Meta:
        model = athletes.ConsentText
        django_get_or_create = ("version",)

    version = "1"
    body = "We measure how you pitch, keep the numbers, and show them to you and your family."
    valid_from = LONG_AGO


class ConsentFactory(DjangoModelFactory):
    class Meta:
        model = athletes.Consent

    athlete = factory.SubFactory(AthleteFactory, consent=False)
    text = factory.SubFactory(ConsentTextFactory)
    given_by_name = "Ana Lindqvist"
    relation = "mother"
    given_on = LONG_AGO


class ExternalIdFactory(DjangoModelFactory):
    class Meta:
        model = athletes.ExternalId

    athlete = factory.SubFactory(AthleteFactory)
    source = ""
    value = factory.Sequence(lambda n: f"P-{n:04d}")


class TrainingGroupFactory(DjangoModelFactory):
    """`TrainingGroupFactory(athletes=[…], visiting_coaches=[…])`."""

    class Meta:
        model = athletes.TrainingGroup
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Group {n}")

    @factory.post_generation
    def athletes(self, create: bool, value: list | None, **extra: Any) -> None:
        if create and value:
            self.athletes.set(value)

    @factory.post_generation
    def visiting_coaches(self, create: bool, value: list | None, **extra: Any) -> None:
        if create and value:
            self.visiting_coaches.set(value)


class GuardianshipFactory(DjangoModelFactory):
    class Meta:
        model = athletes.Guardianship

    guardian = factory.SubFactory(UserFactory, role="guardian")
    athlete = factory.SubFactory(AthleteFactory)
    relation = "mother"


class ReferralFactory(DjangoModelFactory):
    class Meta:
        model = athletes.Referral

    clinician = factory.SubFactory(UserFactory, role="clinician")
    athlete = factory.SubFactory(AthleteFactory)
    reason = "elbow"


class AvailabilityFactory(DjangoModelFactory):
    class Meta:
        model = athletes.Availability

    athlete = factory.SubFactory(AthleteFactory)
    valid_from = dt.date(2026, 2, 2)
    state = "full"


class PainReportFactory(DjangoModelFactory):
    class Meta:
        model = athletes.PainReport

    athlete = factory.SubFactory(AthleteFactory)
    where = "elbow"
    how_much = 4
    reported_at = NOON
    reported_by = factory.SubFactory(UserFactory, role="guardian")


class ClearanceFactory(DjangoModelFactory):
    class Meta:
        model = athletes.Clearance

    report = factory.SubFactory(PainReportFactory)
    cleared_by_name = "D. Quispe"
    cleared_on = DAY


class NoteFactory(DjangoModelFactory):
    class Meta:
        model = athletes.Note

    athlete = factory.SubFactory(AthleteFactory)
    text = factory.Sequence(lambda n: f"Keeps the front side closed longer, note {n}")
    author = factory.SubFactory(UserFactory)
    written_at = NOON
