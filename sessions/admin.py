"""Admin pages that show uploads, sessions and throws. They are changed on their own pages, never here."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from athletes.admin.logs import ReadOnlyAdmin
from athletes.models import Athlete
from athletes.view_notes import note_view
from sessions.models import CaptureSession, SessionExtract, Throw, Upload


@admin.register(Upload)
class UploadAdmin(ReadOnlyAdmin):
    list_display = ("filename", "state", "uploaded_at", "uploaded_by", "attempts", "error_code")
    list_filter = ("state",)
    list_select_related = ("uploaded_by",)
    search_fields = ("filename", "original__sha256")
    date_hierarchy = "uploaded_at"


class AthletesRows(ReadOnlyAdmin):
    """Rows about one athlete: opening one is a look at that athlete's record."""

    def athlete_of(self, row: Any) -> Athlete:
        return row.session.athlete

    def get_object(self, request: HttpRequest, object_id: str, from_field: str | None = None) -> Any:
        row = super().get_object(request, object_id, from_field)
        if row is not None:
            note_view(request, self.athlete_of(row), f"admin: {self.opts.verbose_name}")
        return row


@admin.register(CaptureSession)
class CaptureSessionAdmin(AthletesRows):
    list_display = ("athlete", "date", "ordinal", "method", "setup", "landing", "state", "input_revision")
    list_filter = ("method", "state", "landing")
    list_select_related = ("athlete",)
    search_fields = ("athlete__given_name", "athlete__family_name", "setup")
    date_hierarchy = "date"

    def athlete_of(self, row: Any) -> Athlete:
        return row.athlete


@admin.register(Throw)
class ThrowAdmin(AthletesRows):
    list_display = ("session", "number", "pitch_type", "intent", "surface", "ball", "ball_speed_m_s", "excluded_at")
    list_filter = ("pitch_type", "intent", "surface", "ball", ("excluded_at", admin.EmptyFieldListFilter))
    list_select_related = ("session__athlete",)
    search_fields = ("session__athlete__given_name", "session__athlete__family_name")
    show_full_result_count = False


@admin.register(SessionExtract)
class SessionExtractAdmin(AthletesRows):
    list_display = ("session", "upload", "sheet")
    list_select_related = ("session__athlete", "upload")
