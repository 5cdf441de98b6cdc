"""By what the lists of the read API can be narrowed. A uuid of something unseen narrows to nothing."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import OuterRef, QuerySet, Subquery

from athletes.models import Level, LevelPeriod
from athletes.today import facility_today
from desk.selectors.groups import groups_visible_to
from desk.selectors.now import with_state
from metrics.catalogue import load_catalogue
from metrics.models import Finding, Share
from sessions.models import CaptureSession, Method


def level_then(athlete: str, date: str) -> Subquery:
    """The level in force on a row's date, by the names of its fields for athlete and date."""
    periods = LevelPeriod.objects.filter(athlete=OuterRef(athlete), valid_from__lte=OuterRef(date))
    return Subquery(periods.order_by("-valid_from").values("level")[:1])


class AthleteFilter(django_filters.FilterSet):
    name = django_filters.CharFilter(method="filter_name", label="Every word occurs in the name.")
    level = django_filters.ChoiceFilter(method="filter_level", choices=Level.choices, label="In force today.")
    group = django_filters.UUIDFilter(method="filter_group", label="Training group, by uuid.")

    def filter_name(self, rows: Any, name: str, text: str) -> QuerySet:
        return rows.named(text)

    def filter_level(self, rows: Any, name: str, level: str) -> QuerySet:
        return with_state(rows, facility_today()).filter(level_now=level)

    def filter_group(self, rows: QuerySet, name: str, uuid: Any) -> QuerySet:
        return rows.filter(groups__in=groups_visible_to(self.request.user).filter(uuid=uuid))


class SessionFilter(django_filters.FilterSet):
    athlete = django_filters.UUIDFilter("athlete__uuid", label="By uuid.")
    group = django_filters.UUIDFilter(method="filter_group", label="Training group of the athlete, by uuid.")
    level = django_filters.ChoiceFilter(
        "level_then", choices=Level.choices, label="Level of the athlete on the session's date."
    )
    method = django_filters.ChoiceFilter(choices=Method.choices)
    date_from = django_filters.DateFilter("date", lookup_expr="gte", label="From this date on.")
    date_to = django_filters.DateFilter("date", lookup_expr="lte", label="Up to and with this date.")

    def filter_group(self, rows: QuerySet, name: str, uuid: Any) -> QuerySet:
        return rows.filter(athlete__groups__in=groups_visible_to(self.request.user).filter(uuid=uuid))

    class Meta:
        model = CaptureSession
        fields = ("athlete", "group", "level", "method", "state", "setup", "date_from", "date_to")


METRICS = [(metric.key, metric.name) for metric in load_catalogue().metrics.values()]


class FindingFilter(django_filters.FilterSet):
    session = django_filters.UUIDFilter("session__uuid", label="By uuid.")
    athlete = django_filters.UUIDFilter("session__athlete__uuid", label="By uuid.")
    group = django_filters.UUIDFilter(method="filter_group", label="Training group of the athlete, by uuid.")
    level = django_filters.ChoiceFilter(
        method="filter_level", choices=Level.choices, label="Level of the athlete on the session's date."
    )
    method = django_filters.ChoiceFilter("session__method", choices=Method.choices)
    date_from = django_filters.DateFilter("session__date", lookup_expr="gte", label="From this date on.")
    date_to = django_filters.DateFilter("session__date", lookup_expr="lte", label="Up to and with this date.")
    metric = django_filters.ChoiceFilter(choices=METRICS, label="By key of the catalogue.")

    def filter_group(self, rows: QuerySet, name: str, uuid: Any) -> QuerySet:
        return rows.filter(session__athlete__groups__in=groups_visible_to(self.request.user).filter(uuid=uuid))

    def filter_level(self, rows: QuerySet, name: str, level: str) -> QuerySet:
        return rows.alias(level_then=level_then("session__athlete", "session__date")).filter(level_then=level)

    class Meta:
        model = Finding
        fields = (
            *("session", "athlete", "group", "level", "method", "date_from", "date_to"),
            *("metric", "zone", "side", "sure", "confirmation", "is_family_head"),
        )


class ShareFilter(django_filters.FilterSet):
    athlete = django_filters.UUIDFilter("athlete__uuid", label="By uuid.")

    class Meta:
        model = Share
        fields = ("athlete",)
