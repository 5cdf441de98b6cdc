"""Admin pages of capture setups: how the files of a room are read."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import admin, messages
from django.db.models import Model
from django.http import HttpRequest

from athletes.requests import account_of
from athletes.services.change_log import record_change
from metrics.kinematics.landmarks import KNOWN
from metrics.measuring.room import Room
from metrics.services.motion.setups import read_waiting_again
from sessions.models import CaptureSetup

LOGGED = (
    "name", "names", "home", "up", "unit", "is_filtered", "filter_hz", "uses_plates", "surface",
    "foot_marker_height_mm",
)  # fmt: skip


class SetupForm(forms.ModelForm):
    """The markers' names as lines of text."""

    marker_names = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 12, "cols": 60}),
        required=False,
        help_text="A line a marker: the room’s own name = ours, such as  rightElbowOuter = R_EL. Ours need no line.",
    )

    class Meta:
        model = CaptureSetup
        fields = (
            "name", "home", "up", "unit", "is_filtered", "filter_hz", "uses_plates", "surface", "foot_marker_height_mm",
            "retired_at",
        )  # fmt: skip

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        pairs = (self.instance.names or {}).items()
        self.fields["marker_names"].initial = "\n".join(f"{name} = {landmark}" for name, landmark in pairs)

    def clean_marker_names(self) -> dict[str, str]:
        names: dict[str, str] = {}
        for number, line in enumerate(self.cleaned_data["marker_names"].splitlines(), 1):
            if not line.strip():
                continue
            name, mark, landmark = (part.strip() for part in line.rpartition("="))
            if not mark or not name or landmark not in KNOWN:
                raise forms.ValidationError(f"Line {number}: “{line}” is not of the form  name = landmark.")
            if landmark in names.values():
                raise forms.ValidationError(f"Line {number}: {landmark} has another name already.")
            names[name] = landmark
        return names

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        try:
            Room(home=cleaned.get("home", ""), up=cleaned.get("up", ""))
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error
        return cleaned


@admin.register(CaptureSetup)
class CaptureSetupAdmin(admin.ModelAdmin):
    form = SetupForm
    list_display = ("name", "unit", "home", "up", "filter_hz", "surface", "retired_at")
    list_filter = (("retired_at", admin.EmptyFieldListFilter),)

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        """A setup is retired, since sessions name it."""
        return False

    def save_model(self, request: HttpRequest, obj: CaptureSetup, form: forms.ModelForm, change: bool) -> None:
        by = account_of(request)
        before = CaptureSetup.objects.filter(pk=obj.pk).values(*LOGGED).first() or {}
        obj.names = form.cleaned_data["marker_names"]
        if not change:
            obj.created_by = by
        super().save_model(request, obj, form, change)
        after = {name: getattr(obj, name) for name in LOGGED}
        record_change(by=by, action="capture setup saved", row=obj, before=before, after=after)
        if count := read_waiting_again(obj, by):
            messages.info(request, f"{count} waiting recording{'' if count == 1 else 's'} read again by this setup.")
