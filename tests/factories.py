"""Factories for the models of every room. People are invented; a plain row is a valid, ordinary one.

The ordinary day of the tests is 14 April 2026 (`DAY`); rows that carry a date stand around it.
"""

from __future__ import annotations

import datetime as dt
from hashlib import sha256
from typing import Any

import factory
from django.utils import timezone
from factory.django import DjangoModelFactory

from athletes import models as athletes
from metrics import models as metrics
from sessions import models as captures

DAY = dt.date(2026, 4, 14)
NOON = dt.datetime(2026, 4, 14, 17, 0, tzinfo=dt.UTC)
LONG_AGO = dt.date(2020, 1, 1)

GIVEN_NAMES = ("Ikaika", "Lucía", "Tadhg", "Wiremu", "Kwabena", "Piotr", "Arjun", "Ngaire", "Sione", "Zofia")
FAMILY_NAMES = ("Brandvold", "Strand", "Okonjo", "Achterberg", "Sørlie", "Adeyemi", "Villaseñor", "Abaza")


# ---- athletes: people and what is known of them ---------------------------------------------------------


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
    last_name = factory.Sequence(lambda n: FAMILY_NAMES[n % len(FAMILY_NAMES)])
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


# ---- sessions: files, captures, throws ------------------------------------------------------------------


class OriginalFileFactory(DjangoModelFactory):
    """The row only; no bytes are written."""

    class Meta:
        model = captures.OriginalFile

    sha256 = factory.Sequence(lambda n: sha256(f"original {n}".encode()).hexdigest())
    size = 2048


class UploadFactory(DjangoModelFactory):
    class Meta:
        model = captures.Upload

    original = factory.SubFactory(OriginalFileFactory)
    filename = factory.Sequence(lambda n: f"capture-{n}.csv")
    uploaded_by = factory.SubFactory(UserFactory)
    uploaded_at = NOON
    state = "received"


class CaptureSessionFactory(DjangoModelFactory):
    """A closed motion-capture session of the day, without throws: `ThrowFactory.create_batch(8, session=…)`."""

    class Meta:
        model = captures.CaptureSession

    athlete = factory.SubFactory(AthleteFactory)
    date = DAY
    ordinal = factory.LazyAttribute(
        lambda row: (
            captures.CaptureSession.everything.filter(athlete=row.athlete, date=row.date, method=row.method).count() + 1
        )
    )
    method = "motion_capture"
    setup = "room 1"
    throwing_side = "right"
    landing = "fc"
    filter_knowledge = "none"


class ThrowFactory(DjangoModelFactory):
    class Meta:
        model = captures.Throw

    session = factory.SubFactory(CaptureSessionFactory)
    number = factory.LazyAttribute(lambda row: captures.Throw.everything.filter(session=row.session).count() + 1)
    ball_speed_m_s = 36.0


# ---- metrics: imports, readings, ranges, scores ---------------------------------------------------------


class ImportRecipeFactory(DjangoModelFactory):
    class Meta:
        model = metrics.ImportRecipe

    name = factory.Sequence(lambda n: f"Recipe {n}")
    fingerprint = factory.Sequence(lambda n: sha256(f"header {n}".encode()).hexdigest())
    recipe = factory.Dict({})
    created_by = factory.SubFactory(UserFactory)
    created_at = NOON


class ImportDraftFactory(DjangoModelFactory):
    class Meta:
        model = metrics.ImportDraft

    upload = factory.SubFactory(UploadFactory, state="ready")


class ImportUnitFactory(DjangoModelFactory):
    class Meta:
        model = metrics.ImportUnit

    draft = factory.SubFactory(ImportDraftFactory)
    ordinal = factory.LazyAttribute(lambda row: row.draft.units.count() + 1)
    athlete = factory.SubFactory(AthleteFactory)
    date = DAY
    method = "motion_capture"


class ReadingFactory(DjangoModelFactory):
    """`ReadingFactory(throw=…, values={"knee_flexion@fc": {"value": 42.0}})`; the key is the caller's to choose."""

    class Meta:
        model = metrics.Reading

    throw = factory.SubFactory(ThrowFactory)
    source = "table"
    values = factory.Dict({})
    checksum = factory.LazyAttribute(lambda row: sha256(repr(row.values).encode()).hexdigest())
    algorithm = "factory"


class RangeProfileFactory(DjangoModelFactory):
    class Meta:
        model = metrics.RangeProfile

    name = factory.Sequence(lambda n: f"Profile {n}")


class RangeProfileVersionFactory(DjangoModelFactory):
    """A draft. Add its rules, then `publish(version)`: published versions take no more rules."""

    class Meta:
        model = metrics.RangeProfileVersion

    profile = factory.SubFactory(RangeProfileFactory)
    number = factory.LazyAttribute(lambda row: row.profile.versions.count() + 1)


def publish(version: metrics.RangeProfileVersion, *, valid_from: dt.date = LONG_AGO) -> metrics.RangeProfileVersion:
    """Publishes as the service does, in one UPDATE, without its checks."""
    version.status = "published"
    version.valid_from = valid_from
    version.published_at = timezone.now()
    version.save(update_fields=["status", "valid_from", "published_at"])
    return version


class RangeRuleFactory(DjangoModelFactory):
    class Meta:
        model = metrics.RangeRule

    version = factory.SubFactory(RangeProfileVersionFactory)
    metric = "elbow_flexion_fp"
    target_low = 90.0
    target_high = 110.0
    flag_low = 85.0
    flag_high = 115.0
    source = "factory"
    status = "house_opinion"


class ScoringFactory(DjangoModelFactory):
    class Meta:
        model = metrics.Scoring

    session = factory.SubFactory(CaptureSessionFactory)
    scored_revision = factory.LazyAttribute(lambda row: row.session.input_revision)
    scored_at = NOON
    algorithm = "factory"


class FindingFactory(DjangoModelFactory):
    """In range by default; `FindingFactory(flag=True)` is a sure low flag."""

    class Meta:
        model = metrics.Finding

    class Params:
        flag = factory.Trait(
            mean=78.0,
            zone="flag",
            side="low",
            p_in=0.0,
            p_out=1.0,
            p_flag=0.99,
            probability=0.99,
            severity=1.4,
            priority=11.2,
            confirmation="to_confirm",
        )

    session = factory.SubFactory(CaptureSessionFactory)
    metric = "elbow_flexion_fp"
    condition_set = "mound full_effort fastball regulation"
    kind = "mechanic"
    unit = "deg"
    moment = "fc"
    n = 8
    mean = 100.0
    sd = 3.0
    u = 1.2
    nu = 15.0
    target_low = 90.0
    target_high = 110.0
    flag_low = 85.0
    flag_high = 115.0
    rule_status = "house_opinion"
    zone = "in_range"
    sure = "sure"
    p_in = 0.99
    p_out = 0.01
    p_flag = 0.0
    probability = 0.99
    weight = 8.0
    is_family_head = True


class StandingFactory(DjangoModelFactory):
    class Meta:
        model = metrics.Standing

    athlete = factory.SubFactory(AthleteFactory)
    last_date = DAY
    last_method = "motion_capture"
    rebuilt_at = NOON
