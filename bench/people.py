"""A database of its own, with people to measure on."""

from __future__ import annotations

import datetime as dt
import shutil

from django.conf import settings
from django.core.cache import cache
from django.core.management import call_command
from django.db import connection

from athletes.models import Athlete, BodySize, ExternalId, LevelPeriod, User
from metrics.services.profiles import install_starting_profiles


def fresh_database() -> User:
    """An empty SQLite file with the settings of production, the starting ranges, and a coach.

    `bench.run` has made settings.VAR_DIR a temporary folder: what lay there before is taken away.
    """
    connection.close()
    cache.clear()
    shutil.rmtree(settings.VAR_DIR, ignore_errors=True)
    settings.VAR_DIR.mkdir(parents=True)
    settings.CELERY_BROKER_URL = f"redis+socket://{settings.VAR_DIR}/nobody.sock"
    call_command("migrate", verbosity=0)
    install_starting_profiles()
    return User.objects.create_user("bench", role="coach")


def add_athletes(count: int, *, start: int = 0, coach: User | None = None) -> list[Athlete]:
    """College pitchers B0, B1, … with level, body size and an id in other systems."""
    numbers = range(start, start + count)
    born = dt.date(2000, 1, 1)
    made = Athlete.objects.bulk_create(
        Athlete(given_name="B", family_name=str(number), birth_date=born, responsible_coach=coach) for number in numbers
    )
    LevelPeriod.objects.bulk_create(
        LevelPeriod(athlete=one, level="college", valid_from=dt.date(2010, 1, 1)) for one in made
    )
    BodySize.objects.bulk_create(
        BodySize(athlete=one, date=dt.date(2020, 1, 1), height_cm=185, mass_kg=85) for one in made
    )
    ExternalId.objects.bulk_create(
        ExternalId(athlete=one, value=f"B{number}") for number, one in zip(numbers, made, strict=True)
    )
    return made
