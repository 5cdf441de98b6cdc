"""Which earlier findings may stand beside one of today's: same method, conditions, moment, filter, definition."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from django.db.models import QuerySet

from metrics.catalogue import Metric, load_catalogue
from sessions.models import CaptureSession, FilterKnowledge


class HowMeasured(Protocol):
    """What of a session says how its numbers came about: the session itself, or its columns alone."""

    @property
    def setup(self) -> str: ...
    @property
    def filter_knowledge(self) -> str: ...
    @property
    def filter_hz(self) -> float | None: ...
    @property
    def definitions(self) -> Mapping[str, str]: ...


def earlier_sessions(capture: CaptureSession) -> QuerySet[CaptureSession]:
    """The athlete's sessions before this one, the latest first."""
    return (
        CaptureSession.objects.filter(athlete=capture.athlete_id, date__lte=capture.date)
        .exclude(pk=capture.pk)
        .exclude(date=capture.date, ordinal__gte=capture.ordinal)
        .order_by("-date", "-ordinal", "-id")
    )


def later_sessions(capture: CaptureSession) -> QuerySet[CaptureSession]:
    """The athlete's sessions after this one, the nearest first."""
    return (
        CaptureSession.objects.filter(athlete=capture.athlete_id, date__gte=capture.date)
        .exclude(pk=capture.pk)
        .exclude(date=capture.date, ordinal__lte=capture.ordinal)
        .order_by("date", "ordinal", "id")
    )


def same_measurement(metric: Metric, one: HowMeasured, other: HowMeasured) -> bool:
    """Whether this metric means the same in both sessions; capture method and moment are the caller's to compare.

    A filter that nobody named counts as the same only within one setup. A screen whose technique nobody named was
    taken as the catalogue says first; one that is worked out from others is the same when they are.
    """
    return same_definition(metric, one, other) and same_filter(metric, one, other)


def same_filter(metric: Metric, one: HowMeasured, other: HowMeasured) -> bool:
    """True for a metric that no filter moves."""
    if not metric.filter_dependent:
        return True
    if (one.filter_knowledge, one.filter_hz) != (other.filter_knowledge, other.filter_hz):
        return False
    return one.filter_knowledge != FilterKnowledge.UNKNOWN or one.setup == other.setup


def same_definition(metric: Metric, one: HowMeasured, other: HowMeasured) -> bool:
    """For a metric that is worked out from others: whether they are the same."""
    parts = [load_catalogue().metric(part) for part in metric.derived_from]
    unsaid = metric.definition_default if metric.is_screen else None
    own = one.definitions.get(metric.key, unsaid) == other.definitions.get(metric.key, unsaid)
    return (own or not metric.definitions) and all(same_definition(part, one, other) for part in parts)
