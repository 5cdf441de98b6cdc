"""Forms of the check-in: a feeling with a word, pain with its place, a height taken in passing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import QueryDict

from athletes.forms import HEIGHT, InUnits, PainForm, ServiceForm, TypedQuantityField, parse_height
from athletes.models import Feeling
from athletes.services.check_ins import MOST_CHARACTERS

NO_ANSWER = "“%(value)s” is no answer. Say fine, sore muscles or pain."
TOO_LONG = "At most %(limit_value)d characters fit; these are %(show_value)d."


class CheckInForm(ServiceForm):
    feeling = forms.ChoiceField(
        choices=Feeling.choices,
        widget=forms.RadioSelect,
        label="How does it feel today?",
        error_messages={"invalid_choice": NO_ANSWER, "required": "Say fine, sore muscles or pain."},
    )
    words = forms.CharField(
        max_length=MOST_CHARACTERS,
        required=False,
        label="Where",
        help_text="For sore muscles: for example forearm.",
        error_messages={"max_length": TOO_LONG},
    )
    is_here = forms.BooleanField(required=False, widget=forms.HiddenInput)


class PainCheckInForm(PainForm):
    """A check-in of pain: the pain report, and the answer of the day with it."""

    feeling = forms.CharField(widget=forms.HiddenInput, initial=Feeling.PAIN)
    is_here = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def hand_to(self, service: Callable[..., Any], **given: Any) -> bool:
        where = self.cleaned_data.pop("where")
        return super().hand_to(service, words=where, **given)


class HeightForm(InUnits):
    height_cm = TypedQuantityField(parse_height, label="Height", help_text=HEIGHT.example)


def check_in_form(sent: QueryDict | None, asked: QueryDict) -> ServiceForm:
    """`sent` by POST, else `asked` for by the address. A word that came with *pain* is its place."""
    given = asked if sent is None else sent
    initial = {"is_here": bool(asked.get("is_here")), "feeling": asked.get("feeling", "")}
    if given.get("feeling") != Feeling.PAIN:
        return CheckInForm(sent, initial=initial)
    if sent is not None and not sent.get("where"):
        sent = sent.copy()
        sent["where"] = sent.get("words", "")
    return PainCheckInForm(sent, initial=initial)
