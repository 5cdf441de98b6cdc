"""Throws of a session that belong to somebody else: moved with all that hangs on them, and moved back."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from athletes.models import Athlete, ChangeLog, User
from athletes.services.change_log import record_change
from sessions.models import CaptureSession, Method, Throw
from sessions.services.captures import withdraw_session
from sessions.services.inputs import input_service, raise_input_revision
from sessions.services.moving import lock_people, require_consent, require_could_throw

MOVED, MOVED_BACK = "throws moved", "throws moved back"

SAME_MEASUREMENT = (
    "date",
    "method",
    "setup",
    "capture_setup",
    "throwing_side",
    "landing",
    "filter_knowledge",
    "filter_hz",
    "frame_rate_hz",
    "definitions",
)
"""Throws join a session that agrees in all of these: else ranges would be asked for numbers of another kind."""


class MovedThrows(NamedTuple):
    """`made`: the receiving session was made for them."""

    source: CaptureSession
    target: CaptureSession
    made: bool
    how_many: int


@input_service
@transaction.atomic
def move_throws(
    *, capture: CaptureSession, numbers: Collection[int], to: Athlete, by: User, read_at: int | None = None
) -> MovedThrows:
    """Gives the throws of these numbers to another athlete's session of that day, method and setup, or to a new one.

    A number that is taken there becomes the next free one. Raises ValidationError with a sentence, ChangedMeanwhile.
    """
    lock_people(capture.athlete, to)
    throws = list(capture.throws.filter(number__in=numbers).order_by("number"))
    _require_may_move(capture, throws, numbers, to)
    raise_input_revision(capture, read_at=read_at)
    target, made = _receiving_session(capture, to)
    if not made:
        raise_input_revision(target)
    before = {str(throw.uuid): throw.number for throw in throws}
    _put_into(target, throws)
    after = {str(throw.uuid): throw.number for throw in throws}
    for whose in (to, capture.athlete):
        record_change(
            by=by,
            action=MOVED,
            row=capture if whose == capture.athlete else target,
            athlete_uuid=whose.uuid,
            before={"session": str(capture.uuid), "throws": before},
            after={"session": str(target.uuid), "throws": after, "made": made},
        )
    return MovedThrows(capture, target, made, len(throws))


@transaction.atomic
def move_throws_back(*, entry: ChangeLog, by: User) -> MovedThrows:
    """Undoes one moving: the throws stand where they stood, with their numbers; a session made for them goes again.

    Raises ValidationError when one of them is no longer where it was moved to, or its old number is taken.
    """
    source = CaptureSession.objects.select_related("athlete").filter(uuid=entry.before["session"]).first()
    target = CaptureSession.objects.select_related("athlete").filter(uuid=entry.after["session"]).first()
    if source is None or target is None:
        raise ValidationError("One of the two sessions was withdrawn since. Bring it back first.")
    lock_people(source.athlete, target.athlete)
    numbers: Mapping[str, int] = entry.before["throws"]
    throws = list(target.throws.filter(uuid__in=numbers))
    if len(throws) != len(numbers):
        raise ValidationError("Some of these throws were moved or withdrawn since. Look at both sessions as they are.")
    taken = source.throws.filter(number__in=numbers.values()).values_list("number", flat=True).first()
    if taken is not None:
        raise ValidationError(
            f"The session has another throw {taken} meanwhile. Move the throws one session at a time."
        )
    raise_input_revision(source)
    raise_input_revision(target)
    for throw in throws:
        throw.session, throw.number = source, numbers[str(throw.uuid)]
        throw.save(update_fields=["session", "number"])
    emptied = bool(entry.after["made"]) and not target.throws.exists()
    for row in (target, source):
        record_change(by=by, action=MOVED_BACK, row=row, athlete_uuid=row.athlete.uuid, before=entry.after)
    if emptied:
        withdraw_session(capture=target, by=by, reason="undo: its throws went back")
    return MovedThrows(source, target, emptied, len(throws))


def last_moving(capture: CaptureSession) -> ChangeLog | None:
    """The last act on the session as a whole, when that was giving throws away; what an Undo takes back."""
    last = ChangeLog.objects.filter(object_type=capture._meta.model_name, object_uuid=capture.uuid).first()
    gave = last is not None and last.action == MOVED and last.before["session"] == str(capture.uuid)
    return last if gave else None


def _require_may_move(capture: CaptureSession, throws: Iterable[Throw], numbers: Collection[int], to: Athlete) -> None:
    found = {throw.number for throw in throws}
    if not numbers:
        raise ValidationError("Choose the throws that belong to somebody else.")
    if missing := sorted(set(numbers) - found):
        raise ValidationError(f"This session has no throw {missing[0]}. Look at it as it is now.")
    if capture.method == Method.HANDS_ON:
        raise ValidationError("Hands-on screens are moved with their whole session.")
    if to == capture.athlete:
        raise ValidationError(f"These throws are {to}’s already.")
    if not capture.throws.exclude(number__in=found).exists():
        raise ValidationError("These are all throws of the session. Move the whole session instead.")
    require_could_throw(capture, to)
    require_consent(to)


def _receiving_session(capture: CaptureSession, to: Athlete) -> tuple[CaptureSession, bool]:
    """Their latest session that was measured in the same way that day, else a new closed one; whether it was made."""
    alike = {name: getattr(capture, name) for name in SAME_MEASUREMENT}
    known = CaptureSession.objects.select_for_update(of=("self",)).filter(athlete=to, **alike)
    found = known.select_related("athlete").order_by("-ordinal").first()
    if found is not None:
        return found, False
    same_day = CaptureSession.objects.filter(athlete=to, date=capture.date, method=capture.method, setup=capture.setup)
    ordinal = (same_day.aggregate(last=Max("ordinal"))["last"] or 0) + 1
    return CaptureSession.objects.create(athlete=to, ordinal=ordinal, started_at=capture.started_at, **alike), True


def _put_into(target: CaptureSession, throws: Iterable[Throw]) -> None:
    taken = set(target.throws.values_list("number", flat=True))
    for throw in throws:
        if throw.number in taken:
            throw.number = max(taken) + 1
        taken.add(throw.number)
        throw.session = target
        throw.save(update_fields=["session", "number"])
