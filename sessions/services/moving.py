"""A session that belongs to somebody else: moved whole, and moved back."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from athletes.facts import has_consent
from athletes.models import Athlete, ChangeLog, Throws, User
from athletes.services.change_log import record_change
from athletes.today import facility_today
from sessions.models import CaptureSession
from sessions.services.inputs import input_service, raise_input_revision


@input_service
@transaction.atomic
def move_session(*, capture: CaptureSession, to: Athlete, by: User) -> Athlete:
    """Gives the session with all its throws to another athlete; gives back whose it was.

    Raises ValidationError when it is theirs already, or when they throw with the other arm alone.
    """
    before = capture.athlete
    if to == before:
        raise ValidationError(f"This session is {to}’s already.")
    require_could_throw(capture, to)
    require_consent(to, unless_it_was_theirs=capture)
    lock_people(before, to)
    same_day = CaptureSession.objects.filter(athlete=to, date=capture.date, method=capture.method, setup=capture.setup)
    capture.athlete = to
    capture.ordinal = (same_day.aggregate(last=Max("ordinal"))["last"] or 0) + 1
    capture.save(update_fields=["athlete", "ordinal"])
    raise_input_revision(capture)
    for whose in (before, to):
        record_change(
            by=by,
            action="session moved",
            row=capture,
            athlete_uuid=whose.uuid,
            before={"athlete": str(before.uuid)},
            after={"athlete": str(to.uuid)},
        )
    return before


def require_could_throw(capture: CaptureSession, to: Athlete) -> None:
    """ValidationError when the athlete throws with the other arm alone, or was not born then."""
    if to.throws not in (capture.throwing_side, Throws.BOTH):
        raise ValidationError(
            f"The {capture.throwing_side} arm throws in this session, and {to} throws with the {to.throws}. "
            "Check the athlete."
        )
    if capture.date <= to.birth_date:
        raise ValidationError(f"{to} was not born on {capture.date:%-d %B %Y}. Check the athlete.")


def require_consent(to: Athlete, *, unless_it_was_theirs: CaptureSession | None = None) -> None:
    """ValidationError while nothing of the athlete may be processed. What was theirs before may always come back."""
    if has_consent(to, facility_today()):
        return
    if unless_it_was_theirs is not None:
        moves = ChangeLog.objects.filter(object_uuid=unless_it_was_theirs.uuid, action="session moved")
        if any(move.before.get("athlete") == str(to.uuid) for move in moves):
            return
    raise ValidationError(f"No consent is in force for {to}. Record it on the athlete’s page first.")


def lock_people(*people: Athlete) -> None:
    """Two acts on the same two people wait for each other, in one order."""
    keys = sorted(person.pk for person in people)
    list(Athlete.everything.select_for_update().filter(pk__in=keys).order_by("pk").values_list("pk"))
