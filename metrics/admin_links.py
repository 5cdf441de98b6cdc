"""Admin pages of cause links: one version's table to filter and search; links of published versions are only shown."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from urllib.parse import urlencode

from django.contrib import admin, messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse

from athletes.requests import account_of
from metrics.catalogue import load_catalogue
from metrics.causes import LINK_FIELDS, ends_in_words, to_link
from metrics.forms_causes import CauseLinkForm
from metrics.forms_profiles import LANES
from metrics.models import CauseGraphVersion, CauseLink
from metrics.services.cause_drafts import GONE, PUBLISHED, remove_link, save_link


class OneVersion(admin.SimpleListFilter):
    """One version at a time; the newest without being asked."""

    title = "version"
    parameter_name = "of"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, str]]:
        versions = CauseGraphVersion.objects.all()
        return [(str(version.pk), f"{version} ({version.get_status_display()})") for version in versions]

    def chosen(self) -> str:
        newest = str(self.lookup_choices[0][0]) if self.lookup_choices else ""
        asked = self.value()
        return asked if asked and asked in [key for key, _ in self.lookup_choices] else newest

    def choices(self, changelist: Any) -> Iterable[dict[str, Any]]:  # type: ignore[override]
        for key, title in self.lookup_choices:
            query = changelist.get_query_string({self.parameter_name: key})
            yield {"selected": key == self.chosen(), "query_string": query, "display": title, "value": key}

    def queryset(self, request: HttpRequest, queryset: QuerySet[CauseLink]) -> QuerySet[CauseLink]:
        return queryset.filter(version__pk=self.chosen()) if self.lookup_choices else queryset


class LaneOfEffect(admin.SimpleListFilter):
    title = "lane of the effect"
    parameter_name = "lane"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return list(LANES.items())

    def queryset(self, request: HttpRequest, queryset: QuerySet[CauseLink]) -> QuerySet[CauseLink]:
        keys = [key for key, metric in load_catalogue().metrics.items() if metric.lane == self.value()]
        return queryset.filter(effect__in=keys) if self.value() else queryset


class MetricOfLink(admin.SimpleListFilter):
    """By one end of the link, of those that there are links for."""

    template = "admin/metrics/causelink/choose.html"
    end = ""

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        keys = CauseLink.objects.order_by(self.end).values_list(self.end, flat=True).distinct()
        return sorted(((key, name_of(key)) for key in keys), key=lambda pair: pair[1].casefold())

    def choices(self, changelist: Any) -> Iterable[dict[str, Any]]:  # type: ignore[override]
        """Those to choose from; the first one holds what else the address says, for the form."""
        others = [(name, value) for name, value in changelist.params.items() if name != self.parameter_name]
        yield {"selected": not self.value(), "value": "", "display": "any", "others": others, "query_string": ""}
        for key, name in self.lookup_choices:
            yield {"selected": key == self.value(), "value": key, "display": name, "query_string": ""}

    def queryset(self, request: HttpRequest, queryset: QuerySet[CauseLink]) -> QuerySet[CauseLink]:
        return queryset.filter(**{self.end: self.value()}) if self.value() else queryset


class EffectOfLink(MetricOfLink):
    title = "effect"
    parameter_name = end = "effect"


class CauseOfLink(MetricOfLink):
    title = "cause"
    parameter_name = end = "cause"


def name_of(key: str) -> str:
    """The metric's name; its key, and that it is gone, when the catalogue has it no more."""
    metric = load_catalogue().metrics.get(key)
    return metric.name if metric else f"{key} (not in the catalogue any more)"


@admin.register(CauseLink)
class CauseLinkAdmin(admin.ModelAdmin):
    form = CauseLinkForm
    change_list_template = "admin/metrics/causelink/change_list.html"
    list_display = (
        *("effect_name", "effect_direction", "cause_name", "cause_direction", "kind", "strength"),
        *("reason", "source", "status"),
    )
    list_filter = (OneVersion, LaneOfEffect, EffectOfLink, CauseOfLink, "kind", "strength", "status")
    list_select_related = ("version",)
    list_per_page = 200
    show_full_result_count = False  # it would count the links of all versions
    ordering = ("effect", "effect_direction", "cause", "cause_direction")
    search_fields = ("effect", "cause", "reason", "source")
    search_help_text = "Effect or cause by name or key, reason, source"
    ends = ("effect", "effect_direction", "cause", "cause_direction")
    about = ("kind", "strength", "reason", "source", "status", "both_ways")

    @admin.display(description="effect", ordering="effect")
    def effect_name(self, link: CauseLink) -> str:
        return name_of(link.effect)

    @admin.display(description="cause", ordering="cause")
    def cause_name(self, link: CauseLink) -> str:
        return name_of(link.cause)

    def get_search_results(self, request: HttpRequest, queryset: QuerySet, search_term: str) -> tuple[QuerySet, bool]:
        """Also by the metrics' names in the catalogue, which the rows do not hold."""
        found, duplicates = super().get_search_results(request, queryset, search_term)
        words = search_term.casefold().split()
        metrics = load_catalogue().metrics.values()
        named = [m.key for m in metrics if words and all(w in m.name.casefold() for w in words)]
        return (found | queryset.filter(Q(effect__in=named) | Q(cause__in=named)) if named else found), duplicates

    def changelist_view(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> HttpResponse:
        chosen = request.GET.get("of", "")
        versions = CauseGraphVersion.objects.all()
        version = versions.filter(pk=chosen).first() if chosen.isdecimal() else None
        shown = version or versions.first()
        title = f"{shown} ({shown.get_status_display()})" if shown else "Cause links"
        return super().changelist_view(request, {**(extra_context or {}), "version": shown, "title": title})

    def get_fieldsets(self, request: HttpRequest, obj: CauseLink | None = None) -> Any:
        hidden = () if obj and obj.version.is_published else ("as_read", "in_version")
        return (
            (None, {"fields": ("version", self.ends[:2], self.ends[2:])}),
            ("What is said of it", {"fields": (*self.about, *hidden)}),
        )

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:
        """A draft is discarded on its own page, not from beside a list."""
        form = super().get_form(request, obj, change, **kwargs)
        if version := form.base_fields.get("version"):
            version.widget.can_change_related = version.widget.can_delete_related = False
        return form

    def get_readonly_fields(self, request: HttpRequest, obj: CauseLink | None = None) -> tuple[str, ...]:
        return ("version",) if obj else ()

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return super().has_change_permission(request, obj) and not (obj and obj.version.is_published)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return super().has_delete_permission(request, obj) and not (obj and obj.version.is_published)

    def change_view(
        self, request: HttpRequest, object_id: str, form_url: str = "", extra_context: dict[str, Any] | None = None
    ) -> HttpResponse:
        """A form whose link was taken away or published meanwhile says so, and keeps what was typed."""
        link = self.get_object(request, object_id)
        if request.method == "POST":
            typed = {name: value for name in LINK_FIELDS if (value := request.POST.get(name, ""))}
            if link is None and typed:
                messages.error(request, GONE)
                typed["version"] = request.POST.get("in_version", "")
                return HttpResponseRedirect(f"{reverse('admin:metrics_causelink_add')}?{urlencode(typed)}")
            if link is not None and link.version.is_published and super().has_change_permission(request):
                messages.error(request, f"{PUBLISHED} Nothing was saved of: {'; '.join(typed.values())}")
                return HttpResponseRedirect(request.path)
        title = {"subtitle": ends_in_words(to_link(link))} if link else {}
        return super().change_view(request, object_id, form_url, {**(extra_context or {}), **title})

    def save_model(self, request: HttpRequest, obj: CauseLink, form: Any, change: bool) -> None:
        try:
            save_link(link=obj, by=account_of(request), as_read=form.cleaned_data["as_read"] if change else None)
        except ValidationError:
            raise PermissionDenied from None  # it was published or changed after the form was checked

    def delete_model(self, request: HttpRequest, obj: CauseLink) -> None:
        remove_link(link=obj, by=account_of(request))

    def delete_queryset(self, request: HttpRequest, queryset: QuerySet[CauseLink]) -> None:
        for link in queryset.select_related("version"):
            remove_link(link=link, by=account_of(request))
