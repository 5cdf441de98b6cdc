"""Undoing an import as one act, and bringing it back."""

from __future__ import annotations

from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Exists, OuterRef

from athletes.models import ChangeLog, User
from athletes.services.change_log import record_change
from metrics.models import ImportDraft, ImportUnit
from metrics.services.imports.preview import next_state
from metrics.services.scoring import restate_later_sessions
from metrics.services.standing import rebuild_standing
from sessions.models import CaptureSession, Throw, Upload
from sessions.pipeline import enqueue_stage
from sessions.services.inputs import input_service, raise_input_revision

ACTION, BACK = "import undone", "import brought back"
ACTS = (ACTION, BACK, "upload accepted")
REASON = "The import was undone."
WITHDRAWN_FIELDS = ["withdrawn_at", "withdrawn_by", "withdrawn_reason"]


@transaction.atomic
def undo_import(*, upload: Upload, by: User) -> int:
    """Withdraws everything that the upload made: its sessions, and its throws in sessions that others share.

    The parts wait in the preview again. Gives the number of sessions concerned; raises ValidationError when there is
    nothing to undo or the upload is being worked on.
    """
    draft = ImportDraft.objects.select_for_update().get(upload=upload)
    upload.refresh_from_db()
    units = list(draft.units.filter(state=ImportUnit.State.ACCEPTED).select_related("session"))
    if upload.is_working or not units:
        raise ValidationError("There is nothing to undo: this upload has made no session, or it is being worked on.")
    whole, shared = _sessions_of(upload)
    throws = list(Throw.objects.filter(source_upload=upload, session__in=shared))
    _withdraw(whole, by)
    _withdraw(throws, by)
    draft.units.filter(target=ImportUnit.Target.REPLACE).exclude(state=ImportUnit.State.ACCEPTED).delete()
    made = {str(unit.uuid): str(unit.session.uuid) for unit in units if unit.session}
    draft.units.filter(state=ImportUnit.State.ACCEPTED).update(state=ImportUnit.State.WAITING, session=None)
    Upload.objects.filter(pk=upload.pk).update(state=next_state(draft))
    record_change(
        by=by,
        action=ACTION,
        row=upload,
        before={"sessions": _uuids(whole), "throws": _uuids(throws), "units": made},
    )
    _follow(whole, shared)
    return len(whole) + len(shared)


@transaction.atomic
def bring_back(*, upload: Upload, by: User) -> int:
    """Takes the last undoing of this import back: exactly what it withdrew, nothing else.

    Raises ValidationError when nothing was undone, or when the file has been accepted again since.
    """
    draft = ImportDraft.objects.select_for_update().get(upload=upload)
    last = last_act(upload)
    if last is None or last.action != ACTION:
        raise ValidationError("There is nothing to bring back: this file was accepted again, or never undone.")
    whole = list(CaptureSession.everything.filter(uuid__in=last.before["sessions"], withdrawn_reason=REASON))
    throws = list(Throw.everything.filter(uuid__in=last.before["throws"], withdrawn_reason=REASON))
    _restore(whole)
    _restore(throws)
    for unit, session in last.before["units"].items():
        found = CaptureSession.objects.filter(uuid=session).first()
        draft.units.filter(uuid=unit).update(state=ImportUnit.State.ACCEPTED, session=found)
    Upload.objects.filter(pk=upload.pk).update(state=next_state(draft))
    record_change(by=by, action=BACK, row=upload)
    shared = list(CaptureSession.objects.filter(throws__in=throws).distinct())
    _follow(whole, shared)
    return len(whole) + len(shared)


def last_act(upload: Upload) -> ChangeLog | None:
    """The last that was done to this upload's sessions as a whole."""
    return ChangeLog.objects.filter(object_uuid=upload.uuid, action__in=ACTS).order_by("-id").first()


def _sessions_of(upload: Upload) -> tuple[list[CaptureSession], list[CaptureSession]]:
    """Sessions that hold this upload's throws alone, and those that hold others too."""
    others = Throw.objects.filter(session=OuterRef("pk")).exclude(source_upload=upload)
    touched = (
        CaptureSession.objects.filter(throws__source_upload=upload, throws__withdrawn_at=None)
        .annotate(has_others=Exists(others))
        .select_related("athlete")
        .distinct()
    )
    found = list(touched)
    return [one for one in found if not one.has_others], [one for one in found if one.has_others]


def _withdraw(rows: Sequence[CaptureSession] | Sequence[Throw], by: User) -> None:
    for row in rows:
        row.mark_withdrawn(by, REASON)
        row.save(update_fields=WITHDRAWN_FIELDS)


def _restore(rows: Sequence[CaptureSession] | Sequence[Throw]) -> None:
    for row in rows:
        row.clear_withdrawn()
        row.save(update_fields=WITHDRAWN_FIELDS)


@input_service
def throws_came_or_went(*, capture: CaptureSession) -> None:
    """A session that others share has more or fewer throws than before."""
    raise_input_revision(capture)
    enqueue_stage("score", capture.pk)


def _follow(whole: Sequence[CaptureSession], shared: Sequence[CaptureSession]) -> None:
    """What stands on those sessions: later flags, standings, findings of shared sessions."""
    for capture in shared:
        throws_came_or_went(capture=capture)
    for capture in whole:
        restate_later_sessions(capture)
    for athlete in {capture.athlete for capture in whole}:
        rebuild_standing(athlete)


def _uuids(rows: Sequence[CaptureSession] | Sequence[Throw]) -> list[str]:
    return [str(row.uuid) for row in rows]
