"""A coach's word on a starting point: taken, put aside for a reason, or another put first. Kept; taken back by undo."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import User
from athletes.services.change_log import record_change
from metrics.catalogue import load_catalogue
from metrics.models import StartingPointAnswer
from metrics.tracing import Node
from metrics.tracing.evidence import ROOT_KINDS
from sessions.models import CaptureSession

Kind = StartingPointAnswer.Kind

NO_REASON = "Say in a few words why this is not where to start: it is shown at the next session."
UNKNOWN = "There is no metric or screen of that name. Choose one of the list."
NOT_WORKED_ON = "“{name}” is judged or shown, and never worked on directly. Choose a movement or a screen."
ANSWERED = "“{name}” was answered already. Take that answer back first."
TAKEN = "Another starting point is taken for this session. Take that answer back first."


@transaction.atomic
def answer_starting_point(
    *, session: CaptureSession, kind: str, node: Node, by: User, reason: str = "", traced: dict[str, Any] | None = None
) -> StartingPointAnswer:
    """Keeps the answer. `traced`: what the trace said when it was given. Raises ValidationError with what is wrong."""
    reason = reason.strip()[:300]
    name = _name_of_root(node)
    if kind == Kind.REJECTED and not reason:
        raise ValidationError(NO_REASON)
    CaptureSession.objects.select_for_update().get(pk=session.pk)
    standing = StartingPointAnswer.objects.standing().filter(session=session)
    if standing.filter(metric=node.metric, direction=node.direction).exists():
        raise ValidationError(ANSWERED.format(name=name))
    if kind != Kind.REJECTED and standing.exclude(kind=Kind.REJECTED).exists():
        raise ValidationError(TAKEN)
    answer = StartingPointAnswer(
        session=session,
        kind=kind,
        metric=node.metric,
        direction=node.direction,
        reason=reason,
        given_by=by,
        given_at=timezone.now(),
        traced=traced or {},
    )
    answer.clean_fields(exclude=["session", "given_by", "traced"])
    answer.save(force_insert=True)
    _log(by, f"starting_point.{kind}", answer)
    return answer


@transaction.atomic
def take_back_answer(*, answer: StartingPointAnswer, by: User) -> StartingPointAnswer:
    """The answer no longer stands; it stays on record."""
    held = StartingPointAnswer.objects.select_for_update().get(pk=answer.pk)
    if held.taken_back_at is None:
        held.taken_back_at, held.taken_back_by = timezone.now(), by
        held.save(update_fields=["taken_back_at", "taken_back_by"])
        _log(by, "starting_point.taken_back", held)
    return held


def _name_of_root(node: Node) -> str:
    metric = load_catalogue().metrics.get(node.metric)
    if metric is None or node.direction not in ("low", "high"):
        raise ValidationError(UNKNOWN)
    if metric.is_context or metric.kind not in ROOT_KINDS:
        raise ValidationError(NOT_WORKED_ON.format(name=metric.name))
    return metric.name


def _log(by: User, action: str, answer: StartingPointAnswer) -> None:
    record_change(
        by=by,
        action=action,
        row=answer,
        athlete_uuid=answer.session.athlete.uuid,
        after={"metric": answer.metric, "direction": answer.direction, "session": str(answer.session.uuid)},
        reason=answer.reason,
    )
