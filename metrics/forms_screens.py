"""What is sent from the form of screens; the screens themselves are read by `services.screens.typed`."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest

from athletes.forms import DayField, ServiceForm
from athletes.models import Athlete, TrainingGroup
from metrics.catalogue.screen_form import load_screen_form
from metrics.services.screens.typed import MOST_ROUNDS, kept_fields

NO_KEY = "The form came without its number. Look at the values below and save again."
ARMS = [("", "choose…"), ("right", "right arm"), ("left", "left arm")]
WHO = [("mine", "everyone of mine"), ("all", "everyone"), ("group", "a group"), ("list", "a list")]


class ScreensForm(ServiceForm):
    """Hands itself to `save_screens`. `value_errors`: what is wrong, by field of a screen."""

    key = forms.UUIDField(error_messages=dict.fromkeys(("required", "invalid"), NO_KEY))
    date = DayField(label="Measured on")
    arm = forms.ChoiceField(choices=ARMS, required=False)
    own = forms.BooleanField(required=False, label="A session of its own, not more of today’s")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.value_errors: dict[str, str] = {}

    @property
    def sent(self) -> dict[str, str]:
        return kept_fields({name: str(self.data.get(name, "")) for name in self.data})

    def clean(self) -> dict[str, Any]:
        return {**(super().clean() or {}), "sent": self.sent}

    def _show(self, error: ValidationError) -> None:
        by_field = error.message_dict if hasattr(error, "error_dict") else {}
        self.value_errors = {name: said[0] for name, said in by_field.items() if name not in self.fields}
        own = {name: said for name, said in by_field.items() if name in self.fields}
        if self.value_errors:
            count = len(self.value_errors)
            self.add_error(None, f"Nothing is stored yet: {count} value{'s' if count > 1 else ''} below cannot be.")
        if own or not by_field:
            super()._show(ValidationError(own) if own else error)


class StationForm(forms.Form):
    """Which screens, and whose: what a station's address says."""

    only = forms.MultipleChoiceField(choices=(), required=False)
    who = forms.ChoiceField(choices=WHO, required=False)
    group = forms.ModelChoiceField(queryset=TrainingGroup.objects.none(), to_field_name="uuid", required=False)
    athlete = forms.ModelMultipleChoiceField(queryset=Athlete.objects.none(), to_field_name="uuid", required=False)
    at = forms.UUIDField(required=False)

    def __init__(self, *args: Any, athletes: QuerySet, groups: QuerySet, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["only"].choices = [(one.screen, one.title) for one in load_screen_form().screens]  # type: ignore[attr-defined]
        self.fields["athlete"].queryset = athletes  # type: ignore[attr-defined]
        self.fields["group"].queryset = groups  # type: ignore[attr-defined]


def rounds_in(request: HttpRequest) -> int:
    """How many times each side is measured, 1 to 3."""
    said = request.POST.get("rounds") or request.GET.get("rounds", "1")
    return min(int(said), MOST_ROUNDS) if said.isdecimal() and said != "0" else 1


def asked_screens(request: HttpRequest) -> list[str]:
    """`?screen=` first, then what `?only=` lists."""
    listed = [name for text in request.GET.getlist("only") for name in text.split(",")]
    return [name.strip() for name in (request.GET.get("screen", ""), *listed) if name.strip()]


def new_key() -> str:
    return str(uuid4())
