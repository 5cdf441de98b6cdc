"""Forms about training groups."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms

from athletes.forms import DayField, ServiceForm
from athletes.models import Athlete, SeasonPhase, TrainingGroup
from athletes.models.people import AthleteQuerySet

PUT_IN, TAKE_OUT = "put_in", "take_out"


class AssignGroupForm(ServiceForm):
    """`athletes`: those who may be chosen; only those who were sent are shown again."""

    athletes = forms.ModelMultipleChoiceField(
        queryset=Athlete.objects.none(),
        to_field_name="uuid",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Athletes",
        error_messages={
            "invalid_choice": "Somebody of these is not here any more. Go back and choose again.",
            "invalid_pk_value": "Somebody of these is not here any more. Go back and choose again.",
        },
    )
    group = forms.ModelChoiceField(
        queryset=TrainingGroup.objects.all(),
        to_field_name="uuid",
        required=False,
        empty_label="choose…",
        label="Training group",
        error_messages={"invalid_choice": "That group is not here any more. Choose another."},
    )
    name = forms.CharField(max_length=80, required=False, label="Or a new group", help_text="Its name.")
    act = forms.ChoiceField(choices=[(PUT_IN, "put in"), (TAKE_OUT, "take out")], label="What to do")

    def __init__(self, data: Any, *, athletes: AthleteQuerySet) -> None:
        super().__init__(data)
        field: Any = self.fields["athletes"]
        field.queryset = athletes
        sent = [value for value in data.getlist("athletes") if _is_uuid(value)]
        field.widget.choices = [(str(row.uuid), row.name) for row in athletes.filter(uuid__in=sent)]

    def hand_to(self, service: Callable[..., Any], **given: Any) -> bool:
        member = self.cleaned_data.pop("act") == PUT_IN
        return super().hand_to(service, member=member, **given)


class SeasonPhaseForm(ServiceForm):
    phase = forms.ChoiceField(choices=SeasonPhase.Phase.choices, label="Season phase")
    valid_from = DayField(label="From")
    until = DayField(required=False, label="To", help_text="Empty: until another phase begins.")


def _is_uuid(text: str) -> bool:
    try:
        return bool(forms.UUIDField().clean(text))
    except forms.ValidationError:
        return False
