"""Check-ins and season phases."""

from __future__ import annotations

import factory
from factory.django import DjangoModelFactory

from athletes import models as athletes
from tests.factories.days import DAY, NOON
from tests.factories.people import AthleteFactory, TrainingGroupFactory, UserFactory


class CheckInFactory(DjangoModelFactory):
    """Fine, at the facility, at noon of the day."""

    class Meta:
        model = athletes.CheckIn

    athlete = factory.SubFactory(AthleteFactory)
    date = DAY
    at = NOON
    feeling = "fine"
    is_here = True
    by = factory.SubFactory(UserFactory)


class SeasonPhaseFactory(DjangoModelFactory):
    class Meta:
        model = athletes.SeasonPhase

    group = factory.SubFactory(TrainingGroupFactory)
    valid_from = DAY
    phase = "in_season"
