"""The starting range profiles, stored as their service stores them, without checking the same rules for every test.

The first test of a process that asks for them has the service itself; what it stored is kept, and stored again for
the others. tests/metrics/test_profiles.py holds the service, and that the two are alike.
"""

from __future__ import annotations

import copy
import uuid
from dataclasses import dataclass
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from athletes.services.change_log import record_change
from metrics.models import RangeProfile, RangeProfileVersion, RangeRule
from metrics.services.profiles import STARTING_DATE, STARTING_REASON, install_starting_profiles

COLUMNS = [field.column for field in RangeRule._meta.concrete_fields if field.column not in {"id", "version_id"}]
INSERT = (
    f"INSERT INTO {RangeRule._meta.db_table} (version_id, {', '.join(COLUMNS)}) "
    f"VALUES (%s, {', '.join(['%s'] * len(COLUMNS))})"
)


@dataclass(frozen=True, slots=True)
class Kept:
    profile: RangeProfile
    version: RangeProfileVersion
    rules: list[tuple[Any, ...]]


_kept: list[Kept] = []


def starting_profiles() -> list[RangeProfile]:
    """What `install_starting_profiles()` stores and returns."""
    if RangeProfile.objects.exists() or connection.vendor != "sqlite":
        return install_starting_profiles()
    if not _kept:
        made = install_starting_profiles()
        _kept.extend(_keep(profile) for profile in made)
        return made
    with transaction.atomic():
        return [_store(one) for one in _kept]


def _keep(profile: RangeProfile) -> Kept:
    version = profile.versions.get()
    rules = RangeRule.objects.filter(version=version).order_by("pk").values_list(*COLUMNS)
    return Kept(copy.deepcopy(profile), version, list(rules))


def _store(kept: Kept) -> RangeProfile:
    profile, version = copy.deepcopy(kept.profile), copy.deepcopy(kept.version)
    profile.pk, profile._state.adding = None, True
    profile.save()
    version.pk, version._state.adding, version.profile = None, True, profile
    version.uuid = uuid.uuid4()  # rules are remembered by it
    version.status, version.published_at, version.valid_from = RangeProfileVersion.Status.DRAFT, None, None
    version.save()
    with connection.cursor() as cursor:
        cursor.executemany(INSERT, [(version.pk, *rule) for rule in kept.rules])
    version.status, version.published_at = RangeProfileVersion.Status.PUBLISHED, timezone.now()
    version.valid_from = STARTING_DATE
    version.save()
    record_change(
        by=None,
        action="range profile published",
        row=version,
        after={"valid_from": str(STARTING_DATE)},
        reason=STARTING_REASON,
    )
    return profile
