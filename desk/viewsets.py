"""The read API: athletes, sessions and findings, as far as the signed-in person may see them.

Every row that is given to somebody else than its athlete is a look at that athlete's record, and logged as one.
"""

from __future__ import annotations

import datetime as dt
from typing import Any, ClassVar
from uuid import UUID

from django.db.models import Count, IntegerField, OuterRef, Prefetch, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.http import Http404
from django.utils.functional import cached_property
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_view
from rest_framework import mixins, serializers, viewsets

from athletes.models import Athlete, User
from athletes.policy import Action, role_may
from athletes.requests import account_of, facility_of
from athletes.today import facility_today
from athletes.view_notes import note_view
from desk.filters import AthleteFilter, FindingFilter, SessionFilter, ShareFilter, level_then
from desk.selectors.groups import groups_visible_to
from desk.serializers import AthleteSerializer, FindingSerializer, SessionDetailSerializer, SessionSerializer
from desk.serializers_shares import ShareSerializer
from metrics.models import Finding, Share
from sessions.models import CaptureSession, Throw


class Refusal(serializers.Serializer):
    detail = serializers.CharField()


NOT_SIGNED_IN = OpenApiResponse(Refusal, "Nobody is signed in.")
WRONG_FILTER = OpenApiResponse({"type": "object", "additionalProperties": True}, "Which filter is wrong, and why.")
NO_PAGE = OpenApiResponse(Refusal, "There is no such page.")
NOT_THERE = OpenApiResponse(Refusal, "Not there, or not for this reader: the answer is the same.")


def described(one: str, many: str, list_of: Any, detail: Any = None) -> Any:
    """What the schema says of a viewset's two views."""
    views = {
        "list": extend_schema(
            summary=many, responses={200: list_of(many=True), 400: WRONG_FILTER, 403: NOT_SIGNED_IN, 404: NO_PAGE}
        )
    }
    if detail:
        views["retrieve"] = extend_schema(summary=one, responses={200: detail, 403: NOT_SIGNED_IN, 404: NOT_THERE})
    return extend_schema_view(**views)


class ListOfSeen(mixins.ListModelMixin, viewsets.GenericViewSet):
    """A list of rows that the reader may see. A subclass says what may be seen and whose a row is."""

    what: ClassVar[str]
    model: ClassVar[Any]
    filterset_class: Any = None

    def seen(self) -> QuerySet:
        raise NotImplementedError

    def athlete_of(self, row: Any) -> Athlete:
        raise NotImplementedError

    @property
    def reader(self) -> User:
        return account_of(self.request)

    @cached_property
    def today(self) -> dt.date:
        return facility_today(facility_of(self.request._request))

    def get_queryset(self) -> QuerySet:
        """Nothing while the schema is being written: nobody in particular asks then."""
        return self.model.objects.none() if getattr(self, "swagger_fake_view", False) else self.seen()

    def filter_queryset(self, queryset: QuerySet) -> QuerySet:
        """Refuses what is no filter: a misspelt one would give all rows."""
        known = {*self.filterset_class.base_filters, "page", "page_size"}
        if unknown := sorted(set(self.request.query_params) - known):
            raise serializers.ValidationError({name: ["There is no such filter."] for name in unknown})
        return super().filter_queryset(queryset)

    def paginate_queryset(self, queryset: Any) -> Any:
        page = super().paginate_queryset(queryset)
        for row in page or ():
            note_view(self.request, self.athlete_of(row), f"API: {self.what}")
        return page


class SeenOneByOne(mixins.RetrieveModelMixin, ListOfSeen):
    """Also a row by its uuid; a stranger's and a missing one get the same 404."""

    lookup_field = "uuid"

    def get_object(self) -> Any:
        try:
            row = self.get_queryset().filter(uuid=UUID(self.kwargs["uuid"])).first()
        except ValueError:
            row = None
        if row is None:
            raise Http404
        note_view(self.request, self.athlete_of(row), f"API: {self.what}")
        return row


@described("One athlete", "Athletes", AthleteSerializer, AthleteSerializer)
class AthleteViewSet(SeenOneByOne):
    """Athletes whom the reader is tied to, as known today."""

    what = "athletes"
    model = Athlete
    serializer_class = AthleteSerializer
    filterset_class = AthleteFilter

    def seen(self) -> QuerySet:
        groups = Prefetch("groups", groups_visible_to(self.reader), to_attr="known_groups")
        return Athlete.objects.visible_to(self.reader).with_facts().prefetch_related(groups)

    def athlete_of(self, row: Athlete) -> Athlete:
        return row

    def get_serializer_context(self) -> dict[str, Any]:
        may_read = role_may(self.reader, Action.SEE_RECORD) or role_may(self.reader, Action.SEE_OWN_PAGE)
        return {**super().get_serializer_context(), "today": self.today, "may_read_record": may_read}


@described("One session with its throws", "Sessions", SessionSerializer, SessionDetailSerializer)
class SessionViewSet(SeenOneByOne):
    """Sessions that the reader may see, the newest first. Families read what was shared, under shares."""

    what = "sessions"
    model = CaptureSession
    filterset_class = SessionFilter

    def seen(self) -> QuerySet:
        throws = Throw.objects.filter(session=OuterRef("pk")).order_by().values("session")
        counted = Subquery(throws.annotate(count=Count("pk")).values("count"), output_field=IntegerField())
        rows = CaptureSession.objects.visible_to(self.reader)
        rows = rows.select_related("athlete", "scoring__profile_version__profile")
        rows = rows.annotate(throw_count=Coalesce(counted, 0), level_then=level_then("athlete", "date"))
        return rows.prefetch_related("throws") if self.detail else rows

    def athlete_of(self, row: CaptureSession) -> Athlete:
        return row.athlete

    def get_serializer_class(self) -> Any:
        return SessionDetailSerializer if self.detail else SessionSerializer


@described("", "Findings", FindingSerializer)
class FindingViewSet(ListOfSeen):
    """Findings of the sessions that the reader may see: the newest session first, most important first in each."""

    what = "findings"
    model = Finding
    serializer_class = FindingSerializer
    filterset_class = FindingFilter

    def seen(self) -> QuerySet:
        rows = Finding.objects.visible_to(self.reader)
        return rows.select_related("session__athlete", "session__scoring__profile_version__profile")

    def athlete_of(self, row: Finding) -> Athlete:
        return row.session.athlete


@described("One share", "Shares", ShareSerializer, ShareSerializer)
class ShareViewSet(SeenOneByOne):
    """What coaches shared of the athletes whom the reader is tied to, the newest first."""

    what = "shares"
    model = Share
    serializer_class = ShareSerializer
    filterset_class = ShareFilter

    def seen(self) -> QuerySet:
        return Share.objects.visible_to(self.reader).select_related("athlete", "shared_by")

    def athlete_of(self, row: Share) -> Athlete:
        return row.athlete
