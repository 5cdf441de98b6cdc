"""Throws of a day, as somebody types them. The fields carry the names of the service's arguments."""

from __future__ import annotations

from typing import Any

from django import forms

from athletes.forms import DayField, ServiceForm
from plans.models import ThrowCount
from plans.services.throws import GAME, MOST_CHARACTERS, NONE, PRACTICE, WHAT
from plans.throwing_load import MOST_PITCHES

WHAT_WORDS = [(what, words.capitalize()) for what, words in WHAT.items()]


class ThrowsOfADayForm(ServiceForm):
    date = DayField(
        label="Day",
        help_text="The day on which it began.",
        error_messages={"required": "Give the day.", "invalid": "Give the day as a date, for example 2026-04-14."},
    )
    what = forms.ChoiceField(
        choices=WHAT_WORDS,
        widget=forms.RadioSelect,
        label="What it was",
        error_messages={"required": "Choose game, practice or no throwing."},
    )
    pitches = forms.IntegerField(
        required=False,
        label="Pitches",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "short"}),
        error_messages={"invalid": f"Write the pitches as a number from 1 to {MOST_PITCHES}."},
    )
    nobody_counted = forms.BooleanField(required=False, label="Nobody counted")
    past_midnight = forms.BooleanField(required=False, label="It ran past midnight")
    words = forms.CharField(
        required=False,
        max_length=MOST_CHARACTERS,
        label="A word about it",
        help_text="For example league game, two innings. Everybody who may enter throws reads it.",
    )


class EnterThrowsForm(ThrowsOfADayForm):
    again = forms.BooleanField(required=False, label="It is another outing")


def typed_of(count: ThrowCount) -> dict[str, Any]:
    """An entry as the form shows it."""
    return {
        "date": count.date,
        "what": GAME if count.is_game else NONE if count.pitches == 0 else PRACTICE,
        "pitches": count.pitches or None,
        "nobody_counted": count.pitches is None,
        "past_midnight": count.ended_on is not None,
        "words": count.words,
    }
