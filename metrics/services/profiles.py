"""Range profiles: the starting ones, drafts, publishing with date and reason, and which one is in use."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from athletes.models import User
from athletes.services.change_log import record_change
from metrics.catalogue import load_catalogue
from metrics.catalogue.profiles.loading import load_starting_profile, starting_profile_names
from metrics.judging.values import Thresholds
from metrics.models import RangeProfile, RangeProfileVersion, RangeRule
from metrics.profiles import THRESHOLD_FIELDS, conflicts_among, to_rule
from sessions.models import Ball, Intent, PitchType, Surface

PROFILE_IN_USE = "house_starting"
STARTING_DATE = datetime.date(2000, 1, 1)
"""Starting profiles judge sessions of any date, also those that were captured before the installation."""

STARTING_REASON = "Starting profile of the installation."

CONDITIONS: Mapping[str, list[str]] = {
    "pitch_type": PitchType.values,
    "intent": Intent.values,
    "surface": Surface.values,
    "ball": Ball.values,
}
"""What can be asked of a scored throw; a condition that is not named may be anything."""


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
    rules = [to_rule(row) for row in version.rules.all()]
    sentences = [] if rules else ["There is no rule yet: nothing could be scored."]
    sentences += dict.fromkeys(conflict.sentence for conflict in conflicts_among(rules))
    return sentences + wrong_settings(version.thresholds, version.weights, version.conditions)


def wrong_settings(
    thresholds: Mapping[str, Any], weights: Mapping[str, Any], conditions: Mapping[str, Any]
) -> list[str]:
    """Sentences about thresholds, weights and conditions of scored throws; empty when all can be used."""
    return [*_wrong_thresholds(thresholds), *_wrong_weights(weights), *_wrong_conditions(conditions)]


def _wrong_thresholds(thresholds: Mapping[str, Any]) -> Iterator[str]:
    yield from (f"There is no threshold “{name}”." for name in sorted(set(thresholds) - THRESHOLD_FIELDS))
    try:
        Thresholds(**{name: value for name, value in thresholds.items() if name in THRESHOLD_FIELDS})
    except (TypeError, ValueError) as error:
        yield f"Thresholds: {error}."


def _wrong_weights(weights: Mapping[str, Any]) -> Iterator[str]:
    metrics = load_catalogue().metrics
    for key, weight in weights.items():
        if key not in metrics:
            yield f"A weight is given for “{key}”, which the catalogue does not have."
        elif isinstance(weight, bool) or not isinstance(weight, int | float) or not 0 <= weight <= 10:
            yield f"The weight of {key} is {weight}. Give a number from 0 to 10."


def _wrong_conditions(conditions: Mapping[str, Any]) -> Iterator[str]:
    for name, value in conditions.items():
        if name not in CONDITIONS:
            yield f"There is no condition “{name}” of a throw."
        elif value not in CONDITIONS[name]:
            yield f"Scored throws: {name.replace('_', ' ')} cannot be “{value}”. Use {', '.join(CONDITIONS[name])}."


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
    version.refresh_from_db(from_queryset=RangeProfileVersion.objects.select_for_update())
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


@transaction.atomic
def use_profile(*, profile: RangeProfile, by: User) -> RangeProfile:
    """New scorings take this profile from now on; sessions scored before keep theirs. It needs a published version."""
    if not profile.versions.filter(status=RangeProfileVersion.Status.PUBLISHED).exists():
        raise ValidationError(f"“{profile.name}” has no published version yet. Publish one first.")
    earlier = RangeProfile.objects.select_for_update().filter(in_use=True).first()
    if earlier == profile:
        return profile
    if earlier:
        earlier.in_use = False
        earlier.save(update_fields=["in_use"])
    profile.in_use = True
    profile.save(update_fields=["in_use"])
    before = {"profile": earlier.name if earlier else ""}
    record_change(by=by, action="range profile put in use", row=profile, before=before, after={"profile": profile.name})
    return profile


@transaction.atomic
def start_profile(*, name: str, description: str, by: User) -> RangeProfile:
    """A new profile with an empty first draft."""
    profile = RangeProfile(name=name.strip(), description=description)
    profile.full_clean()
    profile.save()
    RangeProfileVersion.objects.create(profile=profile, number=1)
    record_change(by=by, action="range profile started", row=profile, after={"name": profile.name})
    return profile


@transaction.atomic
def describe_profile(*, profile: RangeProfile, name: str, description: str, by: User) -> RangeProfile:
    """A profile's name and description are no part of any decision; they can change at any time."""
    before = dict(RangeProfile.objects.values("name", "description").get(pk=profile.pk))
    profile.name, profile.description = name.strip(), description
    profile.full_clean()
    profile.save(update_fields=["name", "description"])
    after = {"name": profile.name, "description": profile.description}
    record_change(by=by, action="range profile described", row=profile, before=before, after=after)
    return profile
