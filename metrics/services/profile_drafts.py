"""Work on a draft version: its rules, weights, thresholds and conditions. A published version takes none of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.forms.models import model_to_dict

from athletes.models import User
from athletes.services.change_log import record_change
from metrics.models import RangeProfileVersion, RangeRule
from metrics.profiles import conflicts_among, to_rule
from metrics.services.profiles import wrong_settings

THIS_RULE = "this rule"
PUBLISHED = "This version is published: nothing in it can change. Copy it to a draft."


def _hold_draft(version: RangeProfileVersion) -> RangeProfileVersion:
    """The version as it is now, held until the end of the transaction. Raises ValidationError once published."""
    held = RangeProfileVersion.objects.select_for_update().get(pk=version.pk)
    if held.is_published:
        raise ValidationError(PUBLISHED)
    return held


def rule_conflicts(rule: RangeRule) -> dict[str, list[str]]:
    """What is wrong with a rule beside the others of its version: form field → sentences ("" for none in particular).

    The rule itself need not be stored; sentences call it *this rule*.
    """
    others = RangeRule.objects.filter(version_id=rule.version_id, metric=rule.metric).exclude(pk=rule.pk)
    this = replace(to_rule(rule), id=THIS_RULE)
    found: dict[str, list[str]] = {}
    for conflict in conflicts_among([*(to_rule(row) for row in others), this]):
        if THIS_RULE in conflict.rule_ids:
            found.setdefault(conflict.field, []).append(conflict.sentence)
    return found


@transaction.atomic
def save_rule(*, rule: RangeRule, by: User) -> RangeRule:
    """Stores a new or changed rule of a draft. Raises ValidationError, by field, with what is wrong."""
    version = _hold_draft(rule.version)
    before = RangeRule.objects.filter(pk=rule.pk).first() if rule.pk else None
    if before and before.version_id != version.pk:
        raise ValidationError("A rule stays in its version. Add another one there.")
    rule.full_clean()
    if wrong := rule_conflicts(rule):
        raise ValidationError({field or "__all__": sentences for field, sentences in wrong.items()})
    rule.save()
    record_change(
        by=by,
        action="range rule changed" if before else "range rule added",
        row=version,
        before=_as_kept(before) if before else None,
        after=_as_kept(rule),
    )
    return rule


@transaction.atomic
def remove_rule(*, rule: RangeRule, by: User) -> None:
    version = _hold_draft(rule.version)
    record_change(by=by, action="range rule removed", row=version, before=_as_kept(rule))
    rule.delete()


def _as_kept(rule: RangeRule) -> dict[str, Any]:
    """What the change log keeps of a rule: what was set, without the defaults."""
    values = model_to_dict(rule, exclude=["id", "version"])
    defaults = {field.name: field.get_default() for field in RangeRule._meta.fields}
    return {name: value for name, value in values.items() if name == "metric" or value != defaults[name]}


@transaction.atomic
def change_settings(
    *,
    version: RangeProfileVersion,
    thresholds: Mapping[str, float],
    weights: Mapping[str, float],
    conditions: Mapping[str, str],
    by: User,
) -> RangeProfileVersion:
    """Replaces a draft's settings. Raises ValidationError with what is wrong."""
    held = _hold_draft(version)
    if wrong := wrong_settings(thresholds, weights, conditions):
        raise ValidationError(wrong)
    before = {name: getattr(held, name) for name in ("thresholds", "weights", "conditions")}
    version.thresholds, version.weights, version.conditions = dict(thresholds), dict(weights), dict(conditions)
    after = {name: getattr(version, name) for name in before}
    if before != after:
        version.save(update_fields=list(before))
        record_change(by=by, action="range profile settings changed", row=version, before=before, after=after)
    return version


@transaction.atomic
def discard_draft(*, version: RangeProfileVersion, by: User) -> None:
    """Deletes a draft with its rules; no scoring can rest on one."""
    held = _hold_draft(version)
    count, _ = held.rules.all().delete()
    record_change(by=by, action="range profile draft discarded", row=held, before={"name": str(held), "rules": count})
    held.delete()
