"""The logs, to read."""

from __future__ import annotations

from django.contrib import admin
from django.db.models import Model
from django.http import HttpRequest

from athletes.models import ChangeLog, ViewLog, ViewLogSeal


class ReadOnlyAdmin(admin.ModelAdmin):
    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False


@admin.register(ChangeLog)
class ChangeLogAdmin(ReadOnlyAdmin):
    list_display = ["when", "action", "object_type", "object_uuid", "who", "reason"]
    list_filter = ["action", "object_type"]
    search_fields = ["object_uuid", "athlete_uuid", "who", "request_reference"]


@admin.register(ViewLog)
class ViewLogAdmin(ReadOnlyAdmin):
    list_display = ["when", "who", "role", "athlete_uuid", "what"]
    list_filter = ["role", "what"]
    search_fields = ["athlete_uuid", "who", "request_reference"]


@admin.register(ViewLogSeal)
class ViewLogSealAdmin(ReadOnlyAdmin):
    list_display = ["day", "last_id", "digest"]
