"""An athlete's standing, for roster and today: rebuilt from findings, never edited."""

from __future__ import annotations

import datetime

from django.utils import timezone

from athletes.models import Athlete
from metrics.models import Finding, Standing
from sessions.models import CaptureSession, Method

LINE_DAYS = 120
"""How far the roster's line of sessions looks back."""

THROWING_METHODS = (Method.MOTION_CAPTURE, Method.VIDEO)


def rebuild_standing(athlete: Athlete) -> Standing:
    """Replaces the athlete's standing by what the present findings give."""
    sessions = list(
        CaptureSession.objects.filter(athlete=athlete).order_by("-date", "-ordinal", "-id").only("id", "date", "method")
    )
    latest = {method: next((s for s in sessions if s.method == method), None) for method in Method.values}
    judged = max(
        (s for method in THROWING_METHODS if (s := latest[method])), key=lambda s: (s.date, s.pk), default=None
    )
    flags, top = _flags_of(judged)
    counts = {kind: sum(flag.confirmation == kind for flag in flags) for kind in Finding.Confirmation.values}
    standing, _ = Standing.objects.update_or_create(
        athlete=athlete,
        defaults={
            "last_session": sessions[0] if sessions else None,
            "last_date": sessions[0].date if sessions else None,
            "last_method": sessions[0].method if sessions else "",
            "last_by_method": {method: str(s.date) for method, s in latest.items() if s},
            "session_dates": _line(sessions),
            "flags_new": counts[Finding.Confirmation.TO_CONFIRM],
            "flags_confirmed": counts[Finding.Confirmation.CONFIRMED],
            "flags_recurring": counts[Finding.Confirmation.RECURRING],
            "flags": [[flag.metric, flag.side, flag.sure, flag.confirmation] for flag in flags],
            "top_metric": top.metric if top else "",
            "top_side": top.side if top else "",
            "top_priority": top.priority if top else 0.0,
            "rebuilt_at": timezone.now(),
        },
    )
    return standing


def _flags_of(session: CaptureSession | None) -> tuple[list[Finding], Finding | None]:
    """The flags that count, most important first, and the first of everything that is off."""
    if session is None:
        return [], None
    heads = Finding.objects.filter(session=session, is_family_head=True, priority__gt=0).exclude(
        sure=Finding.Sure.CANT_TELL
    )
    off = list(heads.exclude(zone=Finding.Zone.IN_RANGE).order_by("-priority", "metric"))
    flags = [row for row in off if row.zone == Finding.Zone.FLAG]
    return flags, next(iter(flags or off), None)


def _line(sessions: list[CaptureSession]) -> list[list[str]]:
    if not sessions:
        return []
    oldest = sessions[0].date - datetime.timedelta(days=LINE_DAYS)
    return [[str(s.date), s.method] for s in sessions if s.date >= oldest]
