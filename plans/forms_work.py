"""What is sent with a tick, and with the number of throws of a ticked drill."""

from __future__ import annotations

from uuid import uuid4

from django import forms

from athletes.forms import DayField, ServiceForm
from plans.throwing_load import MOST_PITCHES


class TickForm(ServiceForm):
    """`tick`: the uuid that the browser gave it; a page without a script sends none. `done`: 0 takes it back."""

    date = DayField(error_messages={"required": "The day is missing. Load the page and tap again."})
    tick = forms.UUIDField(required=False)
    done = forms.ChoiceField(choices=[("1", "done"), ("0", "not done")])

    def clean_tick(self) -> object:
        return self.cleaned_data["tick"] or uuid4()


class ThrowsForm(ServiceForm):
    """The names are those of the service."""

    on = DayField()
    throws = forms.IntegerField(
        error_messages={
            "invalid": f"Write the throws as a number from 0 to {MOST_PITCHES}.",
            "required": "Write a number.",
        }
    )
