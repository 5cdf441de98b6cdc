"""Range profiles: the starting ones, a draft from a published version, and publishing with date and reason."""

from __future__ import annotations

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from athletes.models import User
from athletes.services.change_log import record_change
from metrics.catalogue import load_catalogue
from metrics.catalogue.profiles.loading import load_starting_profile, starting_profile_names
from metrics.judging.conflicts import find_conflicts
from metrics.judging.values import Thresholds
from metrics.models import RangeProfile, RangeProfileVersion, RangeRule
from metrics.profiles import THRESHOLD_FIELDS, to_rule

PROFILE_IN_USE = "house_starting"
STARTING_DATE = datetime.date(2000, 1, 1)
"""Starting profiles judge sessions of any date, also those that were captured before the installation."""

STARTING_REASON = "Starting profile of the installation."


@transaction.atomic
def install_starting_profiles() -> list[RangeProfile]:
    """Stores the starting profiles that are not there yet, published; the house's is put in use when none is."""
    made = []
    for name in starting_profile_names():
        starting = load_starting_profile(name)
        if RangeProfile.objects.filter(name=starting.name).exists():
            continue
        in_use = name == PROFILE_IN_USE and not RangeProfile.objects.filter(in_use=True).exists()
        profile = RangeProfile.objects.create(name=starting.name, description=starting.description, in_use=in_use)
        version = RangeProfileVersion.objects.create(
            profile=profile,
            number=1,
            thresholds=dict(starting.thresholds),
            weights=dict(starting.weights),
            conditions=dict(starting.conditions),
        )
        rows = [
            RangeRule(version=version, note=note, **{key: _stored(key, value) for key, value in rule.items()})
            for rule, note in zip(starting.rules, starting.notes, strict=True)
        ]
        RangeRule.objects.bulk_create(rows)
        publish_version(version=version, by=None, valid_from=STARTING_DATE, reason=STARTING_REASON)
        made.append(profile)
    return made


def _stored(key: str, value: str | float | None) -> str | float | None:
    """Text columns hold "" for any; number columns hold NULL for open."""
    return "" if value is None and RangeRule._meta.get_field(key).get_internal_type() == "CharField" else value


def what_is_wrong(version: RangeProfileVersion) -> list[str]:
    """Sentences that keep a draft from being published; empty when it may be."""
    catalogue = load_catalogue()
    rules = [to_rule(row) for row in version.rules.all()]
    unknown = sorted({rule.metric for rule in rules} - set(catalogue.metrics))
    sentences = [f"The catalogue has no metric “{key}”." for key in unknown]
    filtered = {key for key, metric in catalogue.metrics.items() if metric.filter_dependent}
    sentences += [conflict.sentence for conflict in find_conflicts(rules, filter_dependent=filtered)]
    sentences += _wrong_settings(version, set(catalogue.metrics))
    return sentences


def _wrong_settings(version: RangeProfileVersion, metrics: set[str]) -> list[str]:
    sentences = [f"There is no threshold “{name}”." for name in sorted(set(version.thresholds) - THRESHOLD_FIELDS)]
    try:
        Thresholds(**{name: value for name, value in version.thresholds.items() if name in THRESHOLD_FIELDS})
    except (TypeError, ValueError) as error:
        sentences.append(f"Thresholds: {error}.")
    for key, weight in version.weights.items():
        if key not in metrics:
            sentences.append(f"A weight is given for “{key}”, which the catalogue does not have.")
        elif not isinstance(weight, int | float) or not 0 <= weight <= 10:
            sentences.append(f"The weight of {key} is {weight}. Give a number from 0 to 10.")
    return sentences


@transaction.atomic
def copy_to_draft(*, version: RangeProfileVersion, by: User) -> RangeProfileVersion:
    """A new draft version of the same profile with the same rules, to be changed and published."""
    highest = version.profile.versions.aggregate(highest=Max("number"))["highest"]
    draft = RangeProfileVersion.objects.create(
        profile=version.profile,
        number=highest + 1,
        thresholds=version.thresholds,
        weights=version.weights,
        conditions=version.conditions,
    )
    rules = list(version.rules.all())
    for rule in rules:
        rule.pk, rule.version = None, draft
    RangeRule.objects.bulk_create(rules)
    record_change(by=by, action="range profile copied to draft", row=draft, before={"from": version.number})
    return draft


@transaction.atomic
def publish_version(
    *, version: RangeProfileVersion, by: User | None, valid_from: datetime.date, reason: str
) -> RangeProfileVersion:
    """Makes a draft valid from a date; after that nobody can change it. Raises ValidationError with what is wrong."""
    if version.is_published:
        raise ValidationError("This version is published already. Copy it to a draft to change it.")
    if not reason.strip():
        raise ValidationError("Say in a sentence why this version is published.")
    if wrong := what_is_wrong(version):
        raise ValidationError(wrong)
    version.status = RangeProfileVersion.Status.PUBLISHED
    version.valid_from, version.reason = valid_from, reason.strip()
    version.published_at, version.published_by = timezone.now(), by
    version.save()
    record_change(
        by=by, action="range profile published", row=version, after={"valid_from": str(valid_from)}, reason=reason
    )
    return version
