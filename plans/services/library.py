"""Keeping the library: the starting one installed once, every edit a new version, nothing ever overwritten."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import User
from athletes.services.change_log import record_change
from plans.library import BadLibrary, from_fields, library_version, load_library, problems_of, to_fields
from plans.models import Intervention, InterventionVersion

WITHDRAWING = ["withdrawn_at", "withdrawn_by", "withdrawn_reason"]


@transaction.atomic
def install_starting_library(*, by: User | None = None) -> int:
    """Stores what the starting library has and the facility does not; returns how many. Edited ones stay."""
    stored = set(Intervention.everything.values_list("key", flat=True))
    shipped, now = library_version(), timezone.now()
    missing = [one for one in load_library() if one.key not in stored]
    for one in missing:
        row = Intervention.everything.create(key=one.key)
        InterventionVersion.objects.create(
            intervention=row,
            number=1,
            fields=to_fields(one),
            shipped_version=shipped,
            written_at=now,
            written_by=by,
            reason="Starting library",
        )
    return len(missing)


@transaction.atomic
def write_version(
    *, intervention: Intervention, fields: Mapping[str, Any], seen: int, by: User, reason: str = ""
) -> InterventionVersion:
    """A new version of an intervention. `seen`: the number of the version that the form showed.

    Raises ValidationError with every sentence of what the library would not take, or when somebody else was first.
    """
    row = Intervention.everything.select_for_update().get(pk=intervention.pk)
    latest = row.versions.order_by("-number").first()
    if latest is not None and latest.number != seen:
        raise ValidationError("Somebody else changed this meanwhile. Look at it as it is now, then change it again.")
    _require_good(fields, row.key)
    version = InterventionVersion(
        intervention=row,
        number=latest.number + 1 if latest else 1,
        fields=dict(fields),
        written_at=timezone.now(),
        written_by=by,
        reason=reason.strip()[:300],
    )
    version.save(force_insert=True)
    before = {"version": latest.number} if latest else {}
    record_change(
        by=by, action="intervention.changed", row=row, before=before, after={"version": version.number}, reason=reason
    )
    return version


@transaction.atomic
def write_again(*, version: InterventionVersion, by: User) -> InterventionVersion:
    """What an older version said, as the newest one; the newest itself is left as it is. Raises ValidationError."""
    row = Intervention.everything.select_for_update().get(pk=version.intervention_id)
    latest = row.versions.order_by("-number")[0]
    if latest.fields == version.fields:
        return latest
    reason = f"As version {version.number} again"
    return write_version(intervention=row, fields=version.fields, seen=latest.number, by=by, reason=reason)


@transaction.atomic
def add_intervention(*, fields: Mapping[str, Any], by: User) -> InterventionVersion:
    """An intervention of the facility's own. Raises ValidationError."""
    key = str(fields.get("key", ""))
    if Intervention.everything.filter(key=key).exists():
        raise ValidationError({"name": "The library has one of this name already. Choose another name."})
    _require_good(fields, key)
    row = Intervention.everything.create(key=key)
    return write_version(intervention=row, fields=fields, seen=0, by=by, reason="Added")


@transaction.atomic
def withdraw_intervention(*, intervention: Intervention, by: User, reason: str = "") -> Intervention:
    """It is suggested and given no more; what was given of it goes on. Withdrawn already, it stays as it is."""
    row = Intervention.everything.select_for_update().get(pk=intervention.pk)
    if row.withdrawn_at is None:
        row.mark_withdrawn(by, reason.strip()[:300])
        row.save(update_fields=WITHDRAWING)
        record_change(by=by, action="intervention.withdrawn", row=row, reason=reason)
    return row


@transaction.atomic
def restore_intervention(*, intervention: Intervention, by: User) -> Intervention:
    """Brings it back; one that is there stays as it is."""
    row = Intervention.everything.select_for_update().get(pk=intervention.pk)
    if row.withdrawn_at is not None:
        before = {"reason": row.withdrawn_reason}
        row.clear_withdrawn()
        row.save(update_fields=WITHDRAWING)
        record_change(by=by, action="intervention.restored", row=row, before=before)
    return row


def _require_good(fields: Mapping[str, Any], key: str) -> None:
    try:
        value = from_fields(fields, "This intervention")
    except BadLibrary as error:
        raise ValidationError(str(error)) from None
    if value.key != key:
        raise ValidationError(f"An intervention keeps its key: {key}.")
    if sentences := problems_of(value):
        raise ValidationError(list(sentences))
