"""Range profiles as stored, and as judging takes them."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping, Sequence
from dataclasses import fields
from functools import lru_cache
from typing import Any
from uuid import UUID

from metrics.catalogue import load_catalogue
from metrics.judging.conflicts import Conflict, find_conflicts
from metrics.judging.ranges import index_rules
from metrics.judging.values import Rule, Thresholds
from metrics.models import RangeProfileVersion, RangeRule
from metrics.scoring import ProfileRules

RULE_FIELDS = tuple(item.name for item in fields(Rule) if item.name != "id")
THRESHOLD_FIELDS = frozenset(item.name for item in fields(Thresholds))


def to_rule(row: RangeRule) -> Rule:
    """The stored rule as judging takes it: empty text means any."""
    stored = {name: getattr(row, name) for name in RULE_FIELDS}
    values: dict[str, Any] = {name: None if value == "" else value for name, value in stored.items()}
    return Rule(id=row.pk or id(row), **values)


def version_for(date: datetime.date) -> RangeProfileVersion | None:
    """The newest published version of the profile in use that is valid on the date; else its first one."""
    versions = RangeProfileVersion.objects.filter(
        profile__in_use=True, status=RangeProfileVersion.Status.PUBLISHED
    ).select_related("profile")
    return (
        versions.filter(valid_from__lte=date).order_by("-valid_from", "-number").first()
        or versions.order_by("valid_from", "number").first()
    )


def versions_for(dates: Collection[datetime.date]) -> Mapping[datetime.date, RangeProfileVersion]:
    """`version_for` of many dates in one query; without those for which there is none."""
    published = RangeProfileVersion.objects.filter(
        profile__in_use=True, status=RangeProfileVersion.Status.PUBLISHED, valid_from__isnull=False
    ).select_related("profile")
    versions = [(row.valid_from, row) for row in published.order_by("valid_from", "number") if row.valid_from]
    if not versions:
        return {}
    (_, first), latest_first = versions[0], versions[::-1]
    return {date: next((row for begins, row in latest_first if begins <= date), first) for date in dates}


def rules_of(version: RangeProfileVersion) -> ProfileRules:
    """The version ready to judge with. A published version never changes, so it is read once a process."""
    return _published_rules(version.uuid) if version.is_published else _read_rules(version)


@lru_cache(maxsize=32)
def _published_rules(version_uuid: UUID) -> ProfileRules:
    """By uuid: a primary key can come back for another version when a database is made anew."""
    return _read_rules(RangeProfileVersion.objects.get(uuid=version_uuid))


def _read_rules(version: RangeProfileVersion) -> ProfileRules:
    known = {name: value for name, value in version.thresholds.items() if name in THRESHOLD_FIELDS}
    return ProfileRules(
        rules=index_rules(to_rule(row) for row in version.rules.all()),
        thresholds=Thresholds(**known),
        weights=version.weights,
        conditions=version.conditions,
    )


def conflicts_among(rules: Sequence[Rule]) -> list[Conflict]:
    """What keeps these rules of one version from being used together, by the catalogue and among themselves."""
    catalogue = load_catalogue()
    unknown = [
        Conflict("unknown_metric", (rule.id,), f"The catalogue has no metric “{rule.metric}”.", "metric")
        for rule in rules
        if rule.metric not in catalogue.metrics
    ]
    undefined = [
        Conflict("unknown_definition", (rule.id,), _definition_sentence(rule, known), "definition")
        for rule in rules
        if rule.definition and rule.metric in catalogue.metrics
        if rule.definition not in (known := catalogue.metrics[rule.metric].definitions)
    ]
    by_filter = {key for key, metric in catalogue.metrics.items() if metric.filter_dependent}
    return [*unknown, *undefined, *find_conflicts(rules, filter_dependent=by_filter)]


def _definition_sentence(rule: Rule, known: Sequence[str]) -> str:
    use = f"Use {', '.join(known)}, or leave it empty." if known else "It has only one: leave it empty."
    return f"“{rule.definition}” is no definition of {rule.metric}. {use}"
