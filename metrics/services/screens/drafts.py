"""Drafts: kept on the server while a person types, so that a locked phone loses nothing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import Athlete, User
from athletes.today import facility_today
from metrics.models import ScreenDraft, ScreenEntry
from metrics.services.screens.saving import refusal_of
from metrics.services.screens.typed import kept_fields, values_in

KEPT_DAYS = 7
"""Then what was typed and never saved is forgotten: by then nobody knows what it was. House opinion."""


@transaction.atomic
def keep_draft(*, athlete: Athlete, by: User, key: UUID, sent: Mapping[str, str]) -> ScreenDraft | None:
    """What the form holds now, in place of what it held before; None when nothing is kept.

    A form without any value has no draft. One that was saved keeps none: its last word may arrive after the saving.
    A key of somebody else's, or of another athlete's, is not written to. Raises ValidationError where nothing of
    this athlete may be taken in.
    """
    refusal = refusal_of(athlete, facility_today())
    if refusal:
        raise ValidationError(refusal)
    payload = kept_fields(sent)
    own = ScreenDraft.objects.filter(uuid=key, athlete=athlete, entered_by=by)
    if not values_in(payload):
        own.delete()
        return None
    if ScreenEntry.objects.filter(uuid=key).exists():
        return None
    said = {"payload": payload, "updated_at": timezone.now()}
    there, is_new = ScreenDraft.objects.get_or_create(uuid=key, defaults={"athlete": athlete, "entered_by": by, **said})
    if not is_new and not own.update(**said):
        return None
    return there


@transaction.atomic
def throw_away_drafts(*, athlete: Athlete, by: User, keep: UUID | None = None) -> int:
    """All that this person typed of this athlete and did not save, but for the form that is open (`keep`)."""
    own = ScreenDraft.objects.filter(athlete=athlete, entered_by=by)
    return (own.exclude(uuid=keep) if keep else own).delete()[0]


@transaction.atomic
def forget_old_drafts() -> int:
    """Drafts that nobody touched for a week."""
    before = timezone.now() - dt.timedelta(days=KEPT_DAYS)
    return ScreenDraft.objects.filter(updated_at__lt=before).delete()[0]
