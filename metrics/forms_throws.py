"""What a person says about a throw."""

from __future__ import annotations

from django import forms
from django.http import QueryDict

from metrics.judging.values import CONDITION_FIELDS
from sessions.models import Ball, Intent, PitchType, Surface
from sessions.services.throws import Conditions

REASONS = ("slipped", "mis-tracked", "not a pitch", "other")
"""Reasons that take one tap; *other* is used alone or with words of one's own."""


NUMBER_LENGTH = 9
"""Letters of a throw’s number; what is longer is no number of a throw."""


class RevisionForm(forms.Form):
    """Carries the revision at which the page was read; without one nothing is compared."""

    read_at = forms.IntegerField(required=False, widget=forms.HiddenInput)


class ExcludeForm(RevisionForm):
    reason = forms.CharField(max_length=60, required=False)
    words = forms.CharField(max_length=200, required=False)

    def clean(self) -> dict[str, object]:
        """The words, when some were written, else the reason that was tapped."""
        cleaned = super().clean() or {}
        cleaned["reason"] = (cleaned.get("words") or cleaned.get("reason") or "").strip()
        return cleaned


class ConditionsForm(RevisionForm):
    pitch_type = forms.ChoiceField(choices=PitchType.choices)
    intent = forms.ChoiceField(choices=Intent.choices)
    surface = forms.ChoiceField(choices=Surface.choices)
    ball = forms.ChoiceField(choices=Ball.choices)

    @property
    def conditions(self) -> Conditions:
        return Conditions(**{name: self.cleaned_data[name] for name in CONDITION_FIELDS})


class MoveThrowsForm(RevisionForm):
    """Which throws, by their numbers, and whose they are."""

    athlete = forms.CharField(required=False)

    def __init__(self, data: QueryDict | None = None) -> None:
        super().__init__(data)
        sent = data.getlist("throws") if data is not None else []
        listed = forms.TypedMultipleChoiceField(
            choices=[(one, one) for one in sent if one.isdecimal() and len(one) < NUMBER_LENGTH],
            coerce=int,
            required=False,
            empty_value=[],
        )
        self.fields["throws"] = listed

    @property
    def sentence(self) -> str:
        """What was wrong; "" while nothing was sent."""
        return "Choose the throws from the list." if self.is_bound and not self.is_valid() else ""

    @property
    def chosen(self) -> list[int]:
        return list(self.cleaned_data.get("throws", [])) if self.is_bound and self.is_valid() else []
