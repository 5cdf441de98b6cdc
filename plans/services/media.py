"""The facility's own pictures and videos of an intervention: taken in, kept by content, taken away and brought back."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from athletes.models import User
from athletes.services.change_log import record_change
from plans.media_files import BadMedia, Cleaned, clean
from plans.models import Intervention, InterventionMedia
from sessions.storage import store_bytes

MEGABYTE = 1024 * 1024
MOST_BYTES = 50 * MEGABYTE
"""A minute of video as telephones write it. House default."""
MOST_PICTURE_BYTES = 15 * MEGABYTE
MOST_OF_ONE = 12
"""Pictures and videos of one intervention."""
WITHDRAWING = ["withdrawn_at", "withdrawn_by", "withdrawn_reason"]


def media_folder() -> Path:
    return settings.VAR_DIR / "library-media"


def media_path(media: InterventionMedia) -> Path:
    return media_folder() / media.sha256


def add_media(*, intervention: Intervention, file: UploadedFile, told: str, by: User) -> InterventionMedia:
    """Stores what may be kept of the file, then the row. Raises ValidationError with a sentence at `file` or `told`."""
    told = told.strip()
    if not told:
        raise ValidationError({"told": "Say in words what it shows, for whoever cannot see it."})
    cleaned = _cleaned(file)
    try:
        stored = store_bytes([cleaned.data], media_folder(), max_bytes=MOST_BYTES)
    except OSError:
        sentence = "The disk would not take the file. Tell whoever looks after the server, then send it again."
        raise ValidationError({"file": sentence}) from None
    return _record(intervention, cleaned, stored.sha256, told, by)


@transaction.atomic
def withdraw_media(*, media: InterventionMedia, by: User) -> InterventionMedia:
    row = InterventionMedia.everything.select_for_update().get(pk=media.pk)
    if row.withdrawn_at is None:
        row.mark_withdrawn(by, "")
        row.save(update_fields=WITHDRAWING)
        record_change(by=by, action="intervention media.withdrawn", row=row, before={"told": row.told})
    return row


@transaction.atomic
def restore_media(*, media: InterventionMedia, by: User) -> InterventionMedia:
    row = InterventionMedia.everything.select_for_update().get(pk=media.pk)
    if row.withdrawn_at is not None:
        row.clear_withdrawn()
        row.save(update_fields=WITHDRAWING)
        record_change(by=by, action="intervention media.restored", row=row, after={"told": row.told})
    return row


@transaction.atomic
def _record(intervention: Intervention, cleaned: Cleaned, sha256: str, told: str, by: User) -> InterventionMedia:
    Intervention.everything.select_for_update().get(pk=intervention.pk)
    present = InterventionMedia.objects.filter(intervention=intervention)
    if present.filter(sha256=sha256).exists():
        raise ValidationError({"file": "This file is there already. Choose another."})
    if present.count() >= MOST_OF_ONE:
        raise ValidationError({"file": f"{MOST_OF_ONE} pictures and videos are the most. Take one away first."})
    row = InterventionMedia(
        intervention=intervention,
        kind=cleaned.kind,
        sha256=sha256,
        content_type=cleaned.content_type,
        size_bytes=len(cleaned.data),
        told=told[:300],
        added_at=timezone.now(),
        added_by=by,
    )
    row.full_clean()
    row.save()
    after = {"intervention": intervention.key, "sha256": sha256, "content_type": cleaned.content_type}
    record_change(by=by, action="intervention media.added", row=row, after=after)
    return row


def _cleaned(file: UploadedFile) -> Cleaned:
    size = file.size or 0
    if size > MOST_BYTES:
        raise _too_large(size, MOST_BYTES)
    if not size:
        raise ValidationError({"file": "The file is empty. Choose another."})
    try:
        cleaned = clean(file.read())
    except BadMedia as error:
        raise ValidationError({"file": str(error)}) from None
    if cleaned.kind == InterventionMedia.Kind.PICTURE and size > MOST_PICTURE_BYTES:
        raise _too_large(size, MOST_PICTURE_BYTES)
    return cleaned


def _too_large(size: int, most: int) -> ValidationError:
    sentence = f"The file has {size / MEGABYTE:.0f} MB. {most // MEGABYTE} MB are the most: make it shorter or smaller."
    return ValidationError({"file": sentence})
