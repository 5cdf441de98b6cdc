"""The sessions before and after each of many, and what the earlier ones found."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence

from django.db.models import F

from metrics.catalogue import Catalogue
from metrics.comparable import same_measurement
from metrics.judging.history import PastFinding
from metrics.models import Finding
from metrics.scoring import SessionScore
from metrics.services.finding_rows import PAST_FIELDS, Row, as_past, is_flag
from sessions.models import CaptureSession

Past = Mapping[str, list[PastFinding]]

HISTORY_SESSIONS = 10
"""Comparable sessions that are looked at on either side; the settings ask for three."""


class TimeLines:
    """All sessions of some athletes by one method each, the latest first."""

    def __init__(self, captures: Collection[CaptureSession]) -> None:
        rows = (
            CaptureSession.objects.filter(
                athlete__in={capture.athlete_id for capture in captures},
                method__in={capture.method for capture in captures},
            )
            .annotate(scoring_id=F("scoring__pk"))
            .order_by("-date", "-ordinal", "-id")
        )
        self.lines: defaultdict[tuple[int, str], list[CaptureSession]] = defaultdict(list)
        for row in rows:
            self.lines[row.athlete_id, row.method].append(row)
        self.known: dict[int, list[Row]] = {}

    def earlier(self, capture: CaptureSession) -> list[CaptureSession]:
        """As `comparable.earlier_sessions` has them, of the same method."""
        return [one for one in self._others(capture) if _place(one) < _place(capture)][:HISTORY_SESSIONS]

    def later_scored(self, capture: CaptureSession) -> list[CaptureSession]:
        """The scored ones of `comparable.later_sessions`, of the same method, the nearest first."""
        later = [one for one in reversed(self._others(capture)) if _place(one) > _place(capture)]
        return [one for one in later if one.scoring_id is not None][:HISTORY_SESSIONS]  # type: ignore[attr-defined]

    def _others(self, capture: CaptureSession) -> list[CaptureSession]:
        return [one for one in self.lines[capture.athlete_id, capture.method] if one.pk != capture.pk]

    def load_findings(self, wanted: Mapping[CaptureSession, SessionScore]) -> None:
        """The scored findings that the flags of these sessions may stand beside, in one query."""
        asking = {capture: flags for capture, score in wanted.items() if (flags := _flagged(score))}
        sessions = {one.pk for capture in asking for one in self.earlier(capture)}
        if not sessions:
            return
        rows = (
            Finding.objects.filter(session__in=sessions, metric__in=set().union(*asking.values()))
            .exclude(zone=Finding.Zone.NOT_SCORED)
            .order_by()
            .values("session_id", "metric", "moment", "condition_set", *PAST_FIELDS)
        )
        for row in rows:
            self.known.setdefault(row["session_id"], []).append(row)

    def remember(self, capture: CaptureSession, rows: Iterable[Row]) -> None:
        """New findings in place of those that were loaded: later sessions of the same run stand beside them."""
        self.known[capture.pk] = [row for row in rows if row["zone"] != Finding.Zone.NOT_SCORED]

    def past(self, capture: CaptureSession, score: SessionScore, catalogue: Catalogue) -> Past:
        """For each metric flagged now: its scored findings of the earlier comparable sessions, at the same moment."""
        moments = _flagged(score)
        found: defaultdict[str, list[PastFinding]] = defaultdict(list)
        for session in self.earlier(capture) if moments else ():
            for row in self.known.get(session.pk, ()):
                metric = catalogue.metrics.get(row["metric"])
                if (
                    metric
                    and row["condition_set"] == score.condition_set
                    and row["moment"] == moments.get(metric.key)
                    and same_measurement(metric, capture, session)
                ):
                    found[metric.key].append(as_past(row, session.date))
        return found


def _place(capture: CaptureSession) -> tuple[object, int]:
    return capture.date, capture.ordinal


def _flagged(score: SessionScore) -> dict[str, str]:
    """Metric → the moment judged, of the flags."""
    return {decided.metric: decided.moment for decided in score.findings if is_flag(decided)}


def in_order(captures: Iterable[CaptureSession]) -> Sequence[CaptureSession]:
    """The earliest first, so that each can stand beside those before it."""
    return sorted(captures, key=lambda one: (one.date, one.ordinal, one.pk))
