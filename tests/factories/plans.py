"""Work given to an athlete, with its reason and follow-up, and throws of a day."""

from __future__ import annotations

import datetime as dt
from typing import Any

import factory
from factory.django import DjangoModelFactory

from plans import models as plans
from plans.library import dose_to_fields, load_library, to_fields
from tests.factories.days import DAY, NOON
from tests.factories.people import AthleteFactory

WEEK = dt.timedelta(days=7)
SHIPPED = {one.key: one for one in load_library()}


class InterventionFactory(DjangoModelFactory):
    class Meta:
        model = plans.Intervention
        django_get_or_create = ("key",)

    key = "hip_turns_seated"


class InterventionVersionFactory(DjangoModelFactory):
    """A row of the starting library: `InterventionVersionFactory(intervention__key="stride_pause_throw")`."""

    class Meta:
        model = plans.InterventionVersion
        django_get_or_create = ("intervention", "number")

    intervention = factory.SubFactory(InterventionFactory)
    number = 1
    fields = factory.LazyAttribute(lambda version: to_fields(SHIPPED[version.intervention.key]))
    written_at = NOON


class PrescriptionFactory(DjangoModelFactory):
    """Six weeks of work that began on the tests' ordinary day, with one reason and an open follow-up.

    `reason={"metric": …, "direction": …, "session": …}`; `reason=None` and `due=None` leave them out.
    """

    class Meta:
        model = plans.Prescription
        skip_postgeneration_save = True

    athlete = factory.SubFactory(AthleteFactory)
    version = factory.SubFactory(InterventionVersionFactory)
    dose = factory.LazyAttribute(lambda row: dose_to_fields(row.version.value.dose_at(16)))
    start = DAY
    written_at = NOON
    is_shown = True

    @factory.post_generation
    def reason(self, create: bool, given: Any, **values: Any) -> None:
        if create and (given is not None or values or not self.reasons.exists()):
            stated = {"metric": "hip_ir_front", "direction": "low", **(given or {}), **values}
            plans.PrescriptionReason.objects.create(prescription=self, place=0, **stated)

    @factory.post_generation
    def due(self, create: bool, given: Any, **values: Any) -> None:
        if create and given != "never":
            FollowUpFactory(prescription=self, begins=self.start, due=given or self.start + 6 * WEEK)


class FollowUpFactory(DjangoModelFactory):
    class Meta:
        model = plans.FollowUp

    prescription = factory.SubFactory(PrescriptionFactory, due="never")
    begins = DAY
    due = DAY + 6 * WEEK
    changed_at = NOON


class ThrowCountFactory(DjangoModelFactory):
    class Meta:
        model = plans.ThrowCount

    athlete = factory.SubFactory(AthleteFactory)
    date = DAY
    pitches = 40
    entered_at = NOON
