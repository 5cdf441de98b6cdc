"""Receiving files: first the bytes are safe, then the row, then the word "received"."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath, PureWindowsPath

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils import timezone

from athletes.models import User
from athletes.services.change_log import record_change
from sessions.models import CaptureSession, OriginalFile, Upload
from sessions.pipeline import enqueue_stage
from sessions.storage import FileEmpty, FileTooLarge, StoredBytes, store_bytes


class UploadRefused(Exception):
    """The file is not taken; the sentence says why and what to do."""

    SENTENCES = {
        "empty": "“{name}” is empty (0 bytes). Export it again; it may have been open in another program.",
        "too_large": "“{name}” is larger than {limit} MB. Split the export by date or athlete, and upload the parts.",
        "disk": "“{name}” could not be stored: the disk of the server is full. Nothing was lost; tell your admin.",
    }

    def __init__(self, code: str, name: str) -> None:
        self.code = code
        limit = settings.UPLOAD_MAX_BYTES // (1024 * 1024)
        self.sentence = self.SENTENCES[code].format(name=name, limit=limit)
        super().__init__(self.sentence)


@dataclass(frozen=True, slots=True)
class Received:
    upload: Upload
    is_new: bool


def receive_upload(
    *,
    chunks: Iterable[bytes],
    filename: str,
    by: User,
    for_session: CaptureSession | None = None,
    options: Mapping[str, str] | None = None,
) -> Received:
    """Stores the original and hands it to the worker. The same bytes again give the upload that exists.

    `for_session`: the open session that it was sent to. `options`: how to read it, where that is known beforehand.

    Raises UploadRefused for an empty or too large file, and when the disk is full.
    """
    name = clean_filename(filename)
    try:
        stored = store_bytes(chunks, settings.ORIGINALS_DIR, max_bytes=settings.UPLOAD_MAX_BYTES)
    except FileTooLarge:
        raise UploadRefused("too_large", name) from None
    except FileEmpty:
        raise UploadRefused("empty", name) from None
    except OSError:
        raise UploadRefused("disk", name) from None
    try:
        return _record(stored, name, by, for_session, options or {})
    except IntegrityError:  # the same bytes arrived twice at the same moment
        return _record(stored, name, by, for_session, options or {})


@transaction.atomic
def _record(
    stored: StoredBytes, name: str, by: User, for_session: CaptureSession | None, options: Mapping[str, str]
) -> Received:
    original, _ = OriginalFile.objects.get_or_create(sha256=stored.sha256, defaults={"size": stored.size})
    existing = Upload.objects.filter(original=original).first()
    if existing:
        return Received(existing, is_new=False)
    upload = Upload.objects.create(
        original=original,
        filename=name,
        uploaded_by=by,
        uploaded_at=timezone.now(),
        for_session=for_session,
        read_options=dict(options),
    )
    record_change(by=by, action="upload received", row=upload, after={"filename": name, "sha256": stored.sha256})
    enqueue_stage("read", upload.pk)
    return Received(upload, is_new=True)


def clean_filename(raw: str) -> str:
    """The last part of a path, without control or direction characters, at most 255 characters."""
    last = PureWindowsPath(PurePosixPath(raw).name).name
    visible = "".join(ch for ch in last if unicodedata.category(ch)[0] != "C").strip()
    name = visible or "file without a name"
    if len(name) <= 255:
        return name
    stem, dot, ending = name.rpartition(".")
    return f"{stem[: 250 - len(ending)]}{dot}{ending}" if dot and len(ending) <= 10 else name[:255]


@transaction.atomic
def read_again(*, upload: Upload, by: User, options: dict[str, str]) -> None:
    """Puts an upload back to the start, read with other options; sessions that it made stay until they are replaced."""
    rows = Upload.objects.filter(
        pk=upload.pk,
        claim=None,
        state__in=[
            Upload.State.NEEDS_MATCH,
            Upload.State.NEEDS_ANSWER,
            Upload.State.READY,
            Upload.State.REFUSED,
            Upload.State.ACCEPTED,
        ],
    ).update(state=Upload.State.RECEIVED, read_options=options, attempts=0, error_code="", error_sentence="")
    if rows:
        record_change(by=by, action="upload read again", row=upload, after={"options": options})
        enqueue_stage("read", upload.pk)


@transaction.atomic
def withdraw_upload(*, upload: Upload, by: User, reason: str = "") -> None:
    """Takes an upload off the list; its bytes stay. Sessions made from it are not touched."""
    upload.mark_withdrawn(by, reason)
    upload.save(update_fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])
    record_change(by=by, action="upload withdrawn", row=upload, reason=reason)


@transaction.atomic
def restore_upload(*, upload: Upload, by: User) -> Upload:
    """Undoes withdrawing. The same bytes uploaded meanwhile win, since one upload a file may stand."""
    other = Upload.objects.filter(original=upload.original).first()
    if other:
        return other
    upload.clear_withdrawn()
    upload.save(update_fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])
    record_change(by=by, action="upload restored", row=upload)
    return upload
