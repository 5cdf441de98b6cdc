"""A person's answers to what the preview asks. Each raises the draft's revision; nothing is a session yet."""

from __future__ import annotations

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, Q
from django.utils import timezone

from athletes.models import Athlete, ExternalId, User
from athletes.services.change_log import record_change
from metrics.catalogue import load_catalogue
from metrics.importing.recipe_checks import check_recipe
from metrics.importing.recipes import Recipe
from metrics.models import ImportDraft, ImportRecipe, ImportUnit
from metrics.services.imports.preview import settle_state
from metrics.services.imports.targets import default_targets
from sessions.models import Ball, Intent, PitchType, Surface, Upload
from sessions.services.uploads import read_again

CONDITION_CHOICES = {"pitch_type": PitchType, "intent": Intent, "surface": Surface, "ball": Ball}
MOST_WARM_UP = 200
SENT_TOGETHER = datetime.timedelta(minutes=10)
WAITING = (Upload.State.NEEDS_MATCH, Upload.State.NEEDS_ANSWER, Upload.State.READY)


@transaction.atomic
def save_recipe(
    *,
    upload: Upload,
    fingerprint: str,
    recipe: Recipe,
    name: str,
    setup: str,
    frame_rate_hz: float | None,
    by: User,
) -> ImportRecipe:
    """Keeps how a header is read, in place of an earlier recipe for it, and reads the upload again.

    So are all uploads that wait with the same header, for a match or to be accepted.

    Raises ValidationError with every sentence that speaks against the recipe.
    """
    wrong = list(check_recipe(recipe, load_catalogue()))
    if not name.strip():
        wrong.append("Give the recipe a name, for example the room that exports these files.")
    if frame_rate_hz is not None and not 20 <= frame_rate_hz <= 2000:
        wrong.append(f"A frame rate of {frame_rate_hz:g} per second is unlikely. Enter 20 to 2000, or leave it empty.")
    if wrong:
        raise ValidationError(wrong)
    ImportRecipe.objects.filter(fingerprint=fingerprint, retired_at=None).update(retired_at=timezone.now())
    row = ImportRecipe.objects.create(
        name=name.strip()[:120],
        fingerprint=fingerprint,
        recipe=recipe.to_json(),
        setup=setup.strip()[:80],
        frame_rate_hz=frame_rate_hz,
        created_by=by,
        created_at=timezone.now(),
    )
    record_change(by=by, action="import recipe saved", row=row, after={"name": row.name})
    read_again(upload=upload, by=by, options=upload.read_options)
    for other in waiting_with_header(fingerprint):
        read_again(upload=other, by=by, options=other.read_options)
    return row


def waiting_with_header(fingerprint: str) -> list[Upload]:
    """Uploads with this very header that are no session yet: one answer is for all of them."""
    waiting = ImportDraft.objects.filter(upload__state__in=WAITING, upload__withdrawn_at=None)
    return [
        draft.upload
        for draft in waiting.select_related("upload").only("layouts", "upload")
        if any(sheet["fingerprint"] == fingerprint and not sheet.get("left_out") for sheet in draft.layouts)
    ]


@transaction.atomic
def leave_sheet_out(*, draft: ImportDraft, fingerprint: str) -> None:
    """A sheet that holds no throws asks for no match."""
    for sheet in draft.layouts:
        if sheet["fingerprint"] == fingerprint:
            sheet["left_out"] = True
    _raise_revision(draft, layouts=draft.layouts)
    settle_state(draft)


@transaction.atomic
def choose_athlete(*, unit: ImportUnit, athlete: Athlete, by: User) -> int:
    """Says whose throws these are, for every part of the file that names the athlete in the same way.

    Of a recording also for the others that came with it and say the same. The file's id, when it gives one that is
    nobody's yet, is remembered for the next file. Gives the number of parts.
    """
    _refuse_session(unit)
    reference = unit.athlete_reference
    together = [other for other in _sent_together(unit) if other.draft_id == unit.draft_id or other.athlete_id is None]
    same = [other for other in together if _who(other) == _who(unit)]
    for other in same:
        other.athlete = athlete
    for other, target in zip(same, default_targets(same), strict=True):
        other.target = target
        other.save(update_fields=["athlete", "target"])
    external = reference.get("id", "")
    if external and not ExternalId.objects.filter(value=external).exists():
        ExternalId.objects.create(athlete=athlete, source="", value=external[:120])
        record_change(by=by, action="external id added", row=athlete, athlete_uuid=athlete.uuid, after={"id": external})
    for draft in {other.draft for other in same} | {unit.draft}:
        _answered(draft)
    return len(same)


def _who(unit: ImportUnit) -> tuple[str, str]:
    """How a file names the athlete."""
    return unit.athlete_reference.get("id", ""), unit.athlete_reference.get("name", "")


def _sent_together(unit: ImportUnit) -> list[ImportUnit]:
    """Parts that wait: of the unit's file, and when that is a recording of those that were sent with it.

    A room writes a file a throw, so that one drop is one person's in most cases; what is answered already stays.
    """
    waiting = ImportUnit.objects.filter(state=ImportUnit.State.WAITING).exclude(target=ImportUnit.Target.REPLACE)
    upload, own = unit.draft.upload, Q(draft=unit.draft)
    if unit.draft.is_motion:
        around = (upload.uploaded_at - SENT_TOGETHER, upload.uploaded_at + SENT_TOGETHER)
        own |= Q(
            draft__file_facts__kind=ImportDraft.MOTION,
            draft__upload__uploaded_by=upload.uploaded_by,
            draft__upload__uploaded_at__range=around,
            draft__upload__withdrawn_at=None,
            draft__upload__state__in=WAITING,
        )
    return list(waiting.filter(own).select_related("held", "draft__upload"))


@transaction.atomic
def set_date(*, unit: ImportUnit, date: datetime.date) -> int:
    """The day of these throws, when the file gives none or a wrong one; of a recording also of those sent with it that
    give none. Gives the number of parts."""
    _refuse_session(unit)
    others = [other for other in _sent_together(unit) if other.draft_id != unit.draft_id and other.date is None]
    same = [unit, *others]
    for other in same:
        other.date = date
    for other, target in zip(same, default_targets(same), strict=True):
        other.target = target
        other.save(update_fields=["date", "target"])
    for draft in {other.draft for other in same} | {unit.draft}:
        _answered(draft)
    return len(same)


@transaction.atomic
def set_target(*, unit: ImportUnit, target: str) -> None:
    """Add to the session of that day, or make a new one. Raises ValidationError for another word."""
    _refuse_session(unit)
    if target not in (ImportUnit.Target.ADD, ImportUnit.Target.NEW):
        raise ValidationError("Choose to add to that session, or to make a new one.")
    unit.target = target
    unit.save(update_fields=["target"])
    _answered(unit.draft)


@transaction.atomic
def leave_out(*, unit: ImportUnit, out: bool) -> None:
    """Leaves a part of the file out, or takes it back; an accepted part is a session and stays one."""
    state = ImportUnit.State.SKIPPED if out else ImportUnit.State.WAITING
    ImportUnit.objects.filter(pk=unit.pk).exclude(state=ImportUnit.State.ACCEPTED).update(state=state)
    _answered(unit.draft)


@transaction.atomic
def choose_conditions(*, draft: ImportDraft, conditions: dict[str, str], warm_up_first: int) -> None:
    """Conditions for all throws of the file, and how many first throws were warm-up. Raises ValidationError."""
    for name, value in conditions.items():
        if name not in CONDITION_CHOICES or (value and value not in CONDITION_CHOICES[name].values):
            raise ValidationError(f"“{value}” is none of the conditions. Choose one of the list.")
    if not 0 <= warm_up_first <= MOST_WARM_UP:
        raise ValidationError(f"Between 0 and {MOST_WARM_UP} first throws can be warm-up.")
    answers: dict[str, Any] = {
        **draft.answers,
        "conditions": {name: value for name, value in conditions.items() if value},
        "warm_up_first": warm_up_first,
    }
    _raise_revision(draft, answers=answers)
    settle_state(draft)


@transaction.atomic
def keep_implausible_values(*, draft: ImportDraft, by: User) -> None:
    """Takes values outside their metric's plausible span as they stand in this file, and reads it again."""
    _raise_revision(draft, answers={**draft.answers, "accept_implausible": True})
    read_again(upload=draft.upload, by=by, options=draft.upload.read_options)


def _refuse_session(unit: ImportUnit) -> None:
    if unit.target == ImportUnit.Target.REPLACE:
        raise ValidationError("These throws are a session already. Undo the import to give them to somebody else.")


def _answered(draft: ImportDraft) -> None:
    _raise_revision(draft)
    settle_state(draft)


def _raise_revision(draft: ImportDraft, **fields: Any) -> None:
    ImportDraft.objects.filter(pk=draft.pk).update(revision=F("revision") + 1, **fields)
    draft.refresh_from_db()
