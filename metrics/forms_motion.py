"""What a person says about the events of a throw."""

from __future__ import annotations

from django import forms

from metrics.forms_throws import RevisionForm
from sessions.models import CaptureSetup
from sessions.models.recordings import EVENTS

FARTHEST_MS = 60_000


class EventForm(RevisionForm):
    event = forms.ChoiceField(choices=EVENTS)

    @property
    def event_name(self) -> str:
        return dict(EVENTS)[self.cleaned_data["event"]].capitalize()


class MoveEventForm(EventForm):
    """The new time in milliseconds from the contact that stands."""

    time_ms = forms.FloatField(min_value=-FARTHEST_MS, max_value=FARTHEST_MS)


class LabelsForm(forms.Form):
    """Where the match of a file's marker names is kept."""

    setup = forms.ModelChoiceField(
        queryset=CaptureSetup.objects.filter(retired_at=None),
        to_field_name="uuid",
        required=False,
        empty_label="a new capture setup",
        label="Kept in",
    )
    new_name = forms.CharField(max_length=80, required=False, label="Name of the new setup")


class ChooseSetupForm(forms.Form):
    """How a recording is read again; what stays empty is found from the file."""

    setup = forms.CharField(required=False)
    person = forms.CharField(max_length=120, required=False)

    def clean_setup(self) -> str:
        value = self.cleaned_data["setup"]
        known = {str(uuid) for uuid in CaptureSetup.objects.filter(retired_at=None).values_list("uuid", flat=True)}
        if value and value not in known:
            raise forms.ValidationError("This capture setup is no longer in use. Choose another.")
        return value
