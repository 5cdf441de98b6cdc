"""What a person says about the events of a throw."""

from __future__ import annotations

from django import forms

from metrics.forms_throws import RevisionForm
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
