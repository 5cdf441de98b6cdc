"""Accepting an upload: some capture sessions a transaction, so that a kill resumes at the next ones."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby, islice

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import TextField
from django.db.models.functions import Cast

from athletes.models import Facility, User
from athletes.services.change_log import new_change, record_change, record_changes
from metrics.importing.file_names import NameSays
from metrics.models import ImportDraft, ImportUnit
from metrics.services.imports.blocks import blocks_of
from metrics.services.imports.payloads import Payload, with_answers
from metrics.services.imports.rereading import accepted_before, replace_readings
from metrics.services.imports.storing import store_session, store_sessions
from metrics.services.motion.reading import build_motion_draft, measure_upload, numbers_by_name, payload_of
from metrics.services.motion.storing import store_recording
from metrics.services.scoring import StoredReadings, rescore_together
from metrics.services.time_lines import in_order
from sessions.bulk_rows import update_rows
from sessions.claims import Claim, claim_upload
from sessions.collector import no_collection
from sessions.models import CaptureSession, SessionExtract, Upload
from sessions.pipeline import enqueue_stage, stage
from sessions.quick_json import JsonText, from_text, to_text

NEW_SESSIONS_TOGETHER = 50
"""So many new sessions are stored in one transaction; a kill loses none that stood before."""

SCORED_TOGETHER = 50
"""So many sessions are judged in one pass and one transaction."""

ACCEPTABLE = (Upload.State.READY, Upload.State.NEEDS_ANSWER)


@transaction.atomic
def accept(*, upload: Upload, by: User, read_at: int | None = None) -> bool:
    """Hands the upload's sessions to the worker; False when there was nothing (left) to accept.

    Raises ValidationError when the preview changed after it was read, or when every session still has a question.
    """
    draft = ImportDraft.objects.select_for_update().get(upload=upload)
    if read_at is not None and read_at != draft.revision:
        raise ValidationError("The preview changed after you opened it. Look at it again, then accept.")
    waiting = list(draft.units.filter(state=ImportUnit.State.WAITING).with_people())
    if not waiting:
        return False
    facility = Facility.current()
    if all(blocks_of(unit, facility) for unit in waiting):
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
    claim = claim_upload(upload_id, waiting=(), working=Upload.State.ACCEPTING, stage="storing sessions")
    if claim is None:
        return
    waiting = ImportUnit.objects.filter(draft__upload_id=upload_id, state=ImportUnit.State.WAITING)
    facility = Facility.current()
    units = [unit for unit in waiting.with_people().order_by("ordinal") if not blocks_of(unit, facility)]
    done, stored = 0, dict[int, StoredReadings]()
    for portion in portions(units):
        done += len(portion)
        claim.progress(f"storing {portion[-1].athlete}", done, len(units))
        keys = [unit.pk for unit in portion]
        if not portion[0].draft.is_motion:
            stored |= accept_units(keys, claim)
        elif not accept_recording(keys[0], claim):
            return
    score_what_was_accepted(upload_id, claim, stored)
    left = ImportUnit.objects.filter(draft__upload_id=upload_id, state=ImportUnit.State.WAITING).exists()
    claim.finish(Upload.State.NEEDS_ANSWER if left else Upload.State.ACCEPTED)


def score_what_was_accepted(upload_id: int, claim: Claim, stored: Mapping[int, StoredReadings]) -> None:
    """Scores the upload's sessions whose findings lag; also those that a killed run stored and did not score.

    `stored`: the readings of those that this run stored.
    """
    sessions = list(
        CaptureSession.objects.filter(extracts__upload_id=upload_id).select_related("athlete", "scoring").distinct()
    )
    lagging = iter(in_order(one for one in sessions if _lags(one)))
    done = 0
    while portion := list(islice(lagging, SCORED_TOGETHER)):
        done += len(portion)
        claim.progress(f"judging {portion[-1].athlete}", done, len(sessions))
        rescore_together(portion, stored=stored)


def _lags(capture: CaptureSession) -> bool:
    scoring = getattr(capture, "scoring", None)
    return scoring is None or scoring.scored_revision != capture.input_revision


def portions(units: Sequence[ImportUnit]) -> Iterator[list[ImportUnit]]:
    """Units in order, some a transaction. One that changes a session that is there stands alone."""
    for is_new, run in groupby(units, key=lambda unit: unit.target == ImportUnit.Target.NEW):
        most = NEW_SESSIONS_TOGETHER if is_new else 1
        while portion := list(islice(run, most)):
            yield portion


@transaction.atomic
def accept_units(keys: Sequence[int], claim: Claim) -> dict[int, StoredReadings]:
    """Makes, adds to or changes a session a unit; units turn in the same transaction: never half, never twice.

    Gives the readings of new sessions as they were stored.
    """
    taken = (
        ImportUnit.objects.select_for_update(of=("self",))
        .filter(pk__in=keys, state=ImportUnit.State.WAITING)
        .select_related("athlete", "draft__upload__accepted_by")
        .defer("draft__layouts", "draft__problems")
        .annotate(payload_text=Cast("held__content", TextField()))
        .order_by("ordinal")
    )
    parts = [(unit, with_answers(_payload_of(unit), unit.draft.answers)) for unit in taken]
    if not parts:
        return {}
    claim.write()
    upload = parts[0][0].draft.upload
    stored: dict[int, StoredReadings] = {}
    if all(unit.target == ImportUnit.Target.NEW for unit, _ in parts):
        captures, stored = store_sessions(parts, upload, upload.accepted_by)
    else:
        captures = [_store_one(unit, payload, upload.accepted_by) for unit, payload in parts]
    _turn_units([(unit, payload, capture) for (unit, payload), capture in zip(parts, captures, strict=True)], upload)
    return stored


def accept_recording(key: int, claim: Claim) -> bool:
    """Measures a recording for whom it is, and stores its throws; False when none can be measured for this athlete.

    The draft then says why, and the upload waits for an answer again.
    """
    unit = ImportUnit.objects.select_related("athlete", "draft__upload__original", "draft__upload__for_session").get(
        pk=key
    )
    upload = unit.draft.upload
    setup, file = measure_upload(upload, unit.athlete, unit.date, keep=True)
    if not file.throws:
        build_motion_draft(upload, claim)
        return False
    shown = [throw["number"] for throw in unit.payload["throws"]]
    numbers = shown if len(shown) == len(file.throws) else numbers_by_name(file, NameSays())
    payload = with_answers(payload_of(file, setup, numbers), unit.draft.answers)
    with transaction.atomic():
        if not ImportUnit.objects.select_for_update().filter(pk=key, state=ImportUnit.State.WAITING).exists():
            return True
        claim.write()
        capture = store_recording(unit, payload, file, setup, upload.accepted_by)
        if unit.target == ImportUnit.Target.REPLACE:
            accepted_before(unit).delete()
            unit.target = ImportUnit.Target.ADD
        unit.payload_text = to_text(payload.to_json())  # type: ignore[attr-defined]  # as of units that come annotated
        _turn_units([(unit, payload, capture)], upload)
    return True


def _store_one(unit: ImportUnit, payload: Payload, by: User | None) -> CaptureSession:
    if unit.target != ImportUnit.Target.REPLACE:
        return store_session(unit, payload, by)
    capture = replace_readings(unit, payload, by)
    unit.target = ImportUnit.Target.NEW
    return capture


def _payload_of(unit: ImportUnit) -> Payload:
    return Payload.from_json(from_text(unit.payload_text))  # type: ignore[attr-defined]  # annotated above


def _turn_units(made: Sequence[tuple[ImportUnit, Payload, CaptureSession]], upload: Upload) -> None:
    """The units point to their sessions, each session keeps its part of the file, and the log says so."""
    for unit, _, capture in made:
        unit.state, unit.session = ImportUnit.State.ACCEPTED, capture
    update_rows([unit for unit, _, _ in made], ["state", "session", "target"])
    SessionExtract.objects.bulk_create(
        [
            SessionExtract(
                session=capture,
                upload=upload,
                sheet=unit.sheet,
                rows=payload.rows,
                content=JsonText(unit.payload_text),  # type: ignore[attr-defined]  # annotated above
            )
            for unit, payload, capture in made
        ],
        update_conflicts=True,
        unique_fields=["session", "upload", "sheet"],
        update_fields=["rows", "content"],
    )
    record_changes(
        new_change(
            by=upload.accepted_by,
            action="session accepted",
            row=capture,
            athlete_uuid=capture.athlete.uuid,
            after={"upload": str(upload.uuid), "throws": len(payload.throws)},
        )
        for _, payload, capture in made
    )
