"""What a coach says of a starting point."""

from __future__ import annotations

from django import forms

from metrics.models import StartingPointAnswer
from metrics.tracing import Node


class StartingPointForm(forms.Form):
    """`node` is metric:direction; `seen` the trace that the page showed."""

    kind = forms.ChoiceField(choices=StartingPointAnswer.Kind.choices)
    node = forms.RegexField(r"^[a-z0-9_]{1,80}:(low|high)$")
    reason = forms.CharField(max_length=300, required=False)
    seen = forms.CharField(max_length=16, required=False)

    @property
    def answered(self) -> Node:
        metric, _, direction = self.cleaned_data["node"].partition(":")
        return Node(metric, direction)
