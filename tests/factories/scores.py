"""Imports, readings, ranges, scores."""

from __future__ import annotations

import datetime as dt
from hashlib import sha256
from typing import TypeVar

import factory
from django.utils import timezone
from factory.django import DjangoModelFactory

from metrics import models as metrics
from tests.factories.captures import CaptureSessionFactory, ThrowFactory, UploadFactory
from tests.factories.days import DAY, LONG_AGO, NOON
from tests.factories.people import AthleteFactory, UserFactory


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


Version = TypeVar("Version", metrics.RangeProfileVersion, metrics.CauseGraphVersion)


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


def publish(version: Version, *, valid_from: dt.date = LONG_AGO) -> Version:
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
