"""Saving what was typed, and taking it back: one transaction each, judged at once, never stored twice."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from athletes.facts import has_consent
from athletes.models import Athlete, Side, Throws, User
from athletes.services.change_log import record_change
from athletes.services.validation import require_not_future
from athletes.today import facility_today
from metrics.catalogue import load_catalogue
from metrics.models import ScreenDraft, ScreenEntry
from metrics.services.scoring import rescore, restate_later_sessions
from metrics.services.screens.storing import TAKEN_BACK, keys_measured, remove_screens, store_screens
from metrics.services.screens.typed import Typed, kept_fields, read_typed
from metrics.services.withdrawing import withdraw_with_findings
from sessions.models import CaptureSession, Method

NO_CONSENT = (
    "No guardian’s consent is recorded for {athlete}, who is under age. Record it on the athlete’s page first; "
    "screens can be entered then."
)


@transaction.atomic
def save_screens(
    *, athlete: Athlete, by: User, key: UUID, date: dt.date, sent: Mapping[str, str], arm: str = "", own: bool = False
) -> ScreenEntry:
    """The typed screens in the day's hands-on session, or in one of its own, scored in the same transaction.

    `key` is the draft's; the same key again gives what it stored the first time. `sent` is the form by field.
    `arm` says which one threw for an athlete who throws with both. A technique other than that of the day's
    session for the same screen makes a session of its own. Raises ValidationError by field and stores nothing.
    """
    list(Athlete.everything.select_for_update().filter(pk=athlete.pk).values_list("pk"))
    there = ScreenEntry.objects.filter(uuid=key).select_related("session__athlete").first()
    if there is not None:
        return _stored_before(there, athlete, by, kept_fields(sent))
    typed, side = _valid(athlete, date, sent, arm)
    capture = None if own else _session_of_day(athlete, date, side, typed)
    is_new = capture is None
    capture = capture or _new_session(athlete, date, side)
    _set_techniques(capture, typed)
    placed = store_screens(capture=capture, rounds=typed.rounds)
    entry = ScreenEntry.objects.create(
        uuid=key, session=capture, entered_by=by, entered_at=timezone.now(), payload=kept_fields(sent), placed=placed
    )
    ScreenDraft.objects.filter(uuid=key, entered_by=by).delete()
    after = {"session": str(capture.uuid), "screens": typed.count, "new_session": is_new}
    record_change(by=by, action="screens.saved", row=entry, athlete_uuid=athlete.uuid, after=after)
    rescore(capture)
    if is_new:
        restate_later_sessions(capture)
    return entry


@transaction.atomic
def take_back_screens(*, entry: ScreenEntry, by: User) -> ScreenDraft:
    """Undoes one act of saving; what was typed waits as a draft of the person who undoes it.

    A session that holds nothing else is withdrawn. Raises ValidationError when it is undone already.
    """
    capture = entry.session
    list(Athlete.everything.select_for_update().filter(pk=capture.athlete_id).values_list("pk"))
    now = timezone.now()
    if not ScreenEntry.objects.filter(pk=entry.pk, undone_at=None).update(undone_at=now):
        raise ValidationError("These screens were taken back already.")
    remove_screens(capture=capture, entry=entry, by=by)
    if capture.throws.exists():
        rescore(capture)
    else:
        withdraw_with_findings(capture=capture, by=by, reason=TAKEN_BACK)
    record_change(by=by, action="screens.taken_back", row=entry, athlete_uuid=capture.athlete.uuid)
    return ScreenDraft.objects.create(
        athlete=capture.athlete, entered_by=by, payload={**entry.payload, "date": str(capture.date)}, updated_at=now
    )


def refusal_of(athlete: Athlete, today: dt.date) -> str:
    """Why nothing of this athlete may be taken in; "" when it may."""
    return "" if has_consent(athlete, today) else NO_CONSENT.format(athlete=athlete)


def _stored_before(there: ScreenEntry, athlete: Athlete, by: User, payload: Mapping[str, str]) -> ScreenEntry:
    """The same form a second time. Raises ValidationError when it is not the same any more."""
    if there.undone_at is not None:
        raise ValidationError("These values were saved and taken back. Open the form again to enter them anew.")
    if there.session.athlete_id != athlete.pk or there.entered_by_id != by.pk:
        raise ValidationError("This form was used for another athlete already. Open it again.")
    if there.payload != payload:
        raise ValidationError(
            "This form was saved already, with other values. What you changed is not stored: saving now adds all of "
            "it as a second measurement."
        )
    return there


def _valid(athlete: Athlete, date: dt.date, sent: Mapping[str, str], arm: str) -> tuple[Typed, str]:
    """What is stored, and the throwing side. Raises ValidationError by field."""
    require_not_future(date, facility_today(), "date", "A measurement")
    if date <= athlete.birth_date:
        raise ValidationError({"date": f"{date:%-d %B %Y} is before {athlete} was born. Check the date."})
    refusal = refusal_of(athlete, facility_today())
    if refusal:
        raise ValidationError(refusal)
    if athlete.throws == Throws.BOTH and arm not in Side.values:
        raise ValidationError({"arm": "Say which arm is the throwing arm here: this athlete throws with both."})
    typed = read_typed(sent)
    if typed.errors:
        raise ValidationError({name: [sentence] for name, sentence in typed.errors.items()})
    if not typed.count:
        raise ValidationError("Nothing was entered. Type at least one value, or say that a screen was not tested.")
    return typed, arm if athlete.throws == Throws.BOTH else athlete.throws


def _session_of_day(athlete: Athlete, date: dt.date, side: str, typed: Typed) -> CaptureSession | None:
    """The latest hands-on session of the day into which these values fit."""
    same_day = CaptureSession.objects.filter(athlete=athlete, date=date, method=Method.HANDS_ON, throwing_side=side)
    found = same_day.select_related("athlete").order_by("-ordinal", "-pk")
    return next((one for one in found if _fits(one, typed)), None)


def _fits(capture: CaptureSession, typed: Typed) -> bool:
    """A session has one technique a screen: numbers of two would be averaged as if they were one."""
    here = {key.partition("@")[0] for one in typed.rounds for key, reading in one.items() if "value" in reading}
    both = here & keys_measured(capture)
    return all(_technique(key, capture.definitions) == _technique(key, typed.techniques) for key in both)


def _technique(key: str, said: Mapping[str, str]) -> str:
    return said.get(key) or load_catalogue().metric(key).definition_default


def _set_techniques(capture: CaptureSession, typed: Typed) -> None:
    measured = {key.partition("@")[0] for one in typed.rounds for key in one}
    before = {key: word for key, word in capture.definitions.items() if key not in measured}
    wanted = {**before, **typed.techniques}
    if wanted != capture.definitions:
        capture.definitions = wanted
        capture.save(update_fields=["definitions"])


def _new_session(athlete: Athlete, date: dt.date, side: str) -> CaptureSession:
    same = CaptureSession.objects.filter(athlete=athlete, date=date, method=Method.HANDS_ON, setup="")
    last = same.aggregate(last=Max("ordinal"))["last"] or 0
    return CaptureSession.objects.create(
        athlete=athlete, date=date, ordinal=last + 1, method=Method.HANDS_ON, throwing_side=side
    )
