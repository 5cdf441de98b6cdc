"""Admin pages that show what importing and scoring wrote. Nothing is edited here."""

from __future__ import annotations

from typing import Any

from django.contrib import admin

from athletes.admin.logs import ReadOnlyAdmin
from athletes.models import Athlete
from metrics.models import Finding, ImportRecipe, Scoring, Standing
from sessions.admin import AthletesRows


@admin.register(ImportRecipe)
class ImportRecipeAdmin(ReadOnlyAdmin):
    list_display = ("name", "created_at", "created_by", "retired_at")
    list_filter = (("retired_at", admin.EmptyFieldListFilter),)
    list_select_related = ("created_by",)
    search_fields = ("name",)


SESSION_SEARCH = ("session__athlete__given_name", "session__athlete__family_name")


@admin.register(Scoring)
class ScoringAdmin(AthletesRows):
    list_display = ("session", "profile_version", "scored_at", "scored_throws", "throws", "first_look_coverage")
    list_filter = ("profile_version", "session__method", "for_orientation")
    list_select_related = ("session__athlete", "profile_version__profile")
    search_fields = SESSION_SEARCH
    date_hierarchy = "scored_at"


@admin.register(Finding)
class FindingAdmin(AthletesRows):
    list_display = ("metric", "session", "n", "mean", "u", "unit", "zone", "side", "sure", "priority", "confirmation")
    list_filter = ("zone", "sure", "confirmation", "kind", "session__method")
    list_select_related = ("session__athlete",)
    search_fields = ("metric", *SESSION_SEARCH)
    show_full_result_count = False


@admin.register(Standing)
class StandingAdmin(AthletesRows):
    list_display = ("athlete", "last_date", "last_method", "flags_new", "flags_confirmed", "flags_recurring")
    list_select_related = ("athlete",)
    search_fields = ("athlete__given_name", "athlete__family_name")

    def athlete_of(self, row: Any) -> Athlete:
        return row.athlete
