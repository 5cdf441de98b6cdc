"""Accepting an upload: one capture session a transaction, so that a kill resumes at the next one."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.models import User
from athletes.services.change_log import record_change
from metrics.models import ImportDraft, ImportUnit
from metrics.services.imports.blocks import blocks_of
from metrics.services.imports.payloads import Payload, with_answers
from metrics.services.imports.storing import store_session
from metrics.services.scoring import rescore
from sessions.claims import Claim, claim_upload
from sessions.collector import no_collection
from sessions.models import CaptureSession, SessionExtract, Upload
from sessions.pipeline import enqueue_stage, stage

ACCEPTABLE = (Upload.State.READY, Upload.State.NEEDS_ANSWER)


@transaction.atomic
def accept(*, upload: Upload, by: User, read_at: int | None = None) -> bool:
    """Hands the upload's sessions to the worker; False when there was nothing (left) to accept.

    Raises ValidationError when the preview changed after it was read, or when every session still has a question.
    """
    draft = ImportDraft.objects.select_for_update().get(upload=upload)
    if read_at is not None and read_at != draft.revision:
        raise ValidationError("The preview changed after you opened it. Look at it again, then accept.")
    waiting = list(draft.units.filter(state=ImportUnit.State.WAITING).select_related("athlete", "draft__upload"))
    if not waiting:
        return False
    if not any(not blocks_of(unit) for unit in waiting):
        raise ValidationError("Every session still has a question. Answer one, or leave it out, then accept.")
    rows = Upload.objects.filter(pk=upload.pk, state__in=ACCEPTABLE, claim=None).update(
        state=Upload.State.ACCEPTING, accepted_by=by, attempts=0, heartbeat_at=None, error_code="", error_sentence=""
    )
    if rows:
        record_change(by=by, action="upload accepted", row=upload, after={"sessions": len(waiting)})
        enqueue_stage("accept", upload.pk)
    return bool(rows)


@stage("accept")
@no_collection()
def accept_upload(upload_id: int) -> None:
    """The worker's side: makes the session of each unit that has no question left, and scores it."""
    claim = claim_upload(upload_id, waiting=(), working=Upload.State.ACCEPTING)
    if claim is None:
        return
    units = list(
        ImportUnit.objects.filter(draft__upload_id=upload_id, state=ImportUnit.State.WAITING)
        .select_related("athlete", "draft__upload")
        .order_by("ordinal")
    )
    for step, unit in enumerate(units, start=1):
        claim.progress(f"storing {unit.athlete or 'a session'}", step, len(units))
        if not blocks_of(unit):
            accept_unit(unit, claim)
    score_what_was_accepted(upload_id, claim)
    left = ImportUnit.objects.filter(draft__upload_id=upload_id, state=ImportUnit.State.WAITING).exists()
    claim.finish(Upload.State.NEEDS_ANSWER if left else Upload.State.ACCEPTED)


def score_what_was_accepted(upload_id: int, claim: Claim) -> None:
    """Scores the upload's sessions whose findings lag; also those that a killed run stored and did not score."""
    sessions = list(
        CaptureSession.objects.filter(extracts__upload_id=upload_id)
        .select_related("athlete", "scoring__profile_version__profile")
        .prefetch_related("athlete__levels", "athlete__body_sizes")
        .distinct()
    )
    for step, capture in enumerate(sorted(sessions, key=lambda c: (c.date, c.ordinal, c.pk)), start=1):
        claim.progress(f"judging {capture.athlete}", step, len(sessions))
        scoring = getattr(capture, "scoring", None)
        if scoring is None or scoring.scored_revision != capture.input_revision:
            rescore(capture)


@transaction.atomic
def accept_unit(unit: ImportUnit, claim: Claim) -> CaptureSession | None:
    """Makes (or adds to) one capture session; the unit turns in the same transaction: never half, never twice."""
    taken = ImportUnit.objects.filter(pk=unit.pk, state=ImportUnit.State.WAITING).update(
        state=ImportUnit.State.ACCEPTED
    )
    if not taken:
        return None
    claim.write()
    upload = unit.draft.upload
    payload = with_answers(Payload.from_json(unit.payload), unit.draft.answers)
    capture = store_session(unit, payload, upload.accepted_by)
    ImportUnit.objects.filter(pk=unit.pk).update(session=capture)
    SessionExtract.objects.update_or_create(
        session=capture, upload=upload, sheet=unit.sheet, defaults={"rows": payload.rows, "content": unit.payload}
    )
    record_change(
        by=upload.accepted_by,
        action="session accepted",
        row=capture,
        athlete_uuid=capture.athlete.uuid,
        after={"upload": str(upload.uuid), "throws": len(payload.throws)},
    )
    return capture
