"""Admin pages of range rules: a list to filter and search; rules of published versions are only shown."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.core.exceptions import PermissionDenied, ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest

from athletes.requests import account_of
from metrics.catalogue import load_catalogue
from metrics.forms_profiles import RangeRuleForm
from metrics.models import RangeRule
from metrics.services.profile_drafts import remove_rule, save_rule


@admin.register(RangeRule)
class RangeRuleAdmin(admin.ModelAdmin):
    form = RangeRuleForm
    list_display = ("metric", "method", "level", "target", "flags_beyond", "landing", "status", "version")
    list_filter = ("version", "level", "method", "landing", "status", "size_basis")
    list_select_related = ("version__profile",)
    list_per_page = 50
    search_fields = ("metric", "method", "level", "source", "note")
    search_help_text = "Metric by name or key, method, level, source"
    fieldsets = (
        (None, {"fields": ("version", "metric")}),
        ("For whom", {"fields": ("method", "level", "pitch_type", "intent", "surface", "ball")}),
        ("Limits", {"fields": ("flag_low", "target_low", "target_high", "flag_high", "unit_low", "unit_high")}),
        (
            "Body size",
            {
                "fields": (
                    *("size_basis", "size_ref", "size_low", "size_high"),
                    *("slope_flag_low", "slope_target_low", "slope_target_high", "slope_flag_high"),
                )
            },
        ),
        ("Written for", {"fields": ("landing", "definition", "filter_hz")}),
        ("Where it comes from", {"fields": ("status", "source", "source_mean", "source_sd", "note")}),
    )

    @admin.display(description="target")
    def target(self, rule: RangeRule) -> str:
        return _between(rule.target_low, rule.target_high)

    @admin.display(description="flag beyond")
    def flags_beyond(self, rule: RangeRule) -> str:
        return _between(rule.flag_low, rule.flag_high)

    def get_search_results(self, request: HttpRequest, queryset: QuerySet, search_term: str) -> tuple[QuerySet, bool]:
        """Also by the metric's name in the catalogue, which the rows do not hold."""
        found, duplicates = super().get_search_results(request, queryset, search_term)
        words = search_term.casefold().split()
        named = [
            m.key for m in load_catalogue().metrics.values() if words and all(w in m.name.casefold() for w in words)
        ]
        return (found | queryset.filter(metric__in=named) if named else found), duplicates

    def get_readonly_fields(self, request: HttpRequest, obj: RangeRule | None = None) -> tuple[str, ...]:
        return ("version",) if obj else ()

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return super().has_change_permission(request, obj) and not (obj and obj.version.is_published)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return super().has_delete_permission(request, obj) and not (obj and obj.version.is_published)

    def save_model(self, request: HttpRequest, obj: RangeRule, form: Any, change: bool) -> None:
        try:
            save_rule(rule=obj, by=account_of(request))
        except ValidationError:
            raise PermissionDenied from None  # it was published after the form was checked

    def delete_model(self, request: HttpRequest, obj: RangeRule) -> None:
        remove_rule(rule=obj, by=account_of(request))

    def delete_queryset(self, request: HttpRequest, queryset: QuerySet[RangeRule]) -> None:
        for rule in queryset.select_related("version__profile"):
            remove_rule(rule=rule, by=account_of(request))


def _between(low: float | None, high: float | None) -> str:
    if low is None and high is None:
        return "—"
    if low is None or high is None:
        return f"from {low:g}" if high is None else f"up to {high:g}"
    return f"{low:g} to {high:g}"
