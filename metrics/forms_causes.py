"""Forms of the cause links' admin pages: one link, publishing, and a file of links."""

from __future__ import annotations

from copy import copy
from typing import Any, cast

from django import forms

from metrics.causes import digest_of, to_link
from metrics.forms_profiles import PublishForm, metric_choices
from metrics.models import CauseGraphVersion, CauseLink
from metrics.services.cause_drafts import GONE, changed_meanwhile, problems_of_change

DIRECTIONS = [("", "---------"), ("low", "low (or early)"), ("high", "high (or late)")]
ONLY_DRAFTS = "Only drafts take links, and this version is none: it was published or discarded. Choose another one."


class CauseLinkForm(forms.ModelForm):
    """One link of a draft, checked beside the others of its version.

    `as_read` and `in_version` say what the page showed, so that nothing that somebody else changed meanwhile is
    written over unseen.
    """

    effect = forms.ChoiceField(choices=metric_choices, help_text="What is found: it may be the product of the cause.")
    effect_direction = forms.ChoiceField(choices=DIRECTIONS)
    cause = forms.ChoiceField(
        choices=metric_choices, help_text="What lies upstream of it. Never later than the effect."
    )
    cause_direction = forms.ChoiceField(choices=DIRECTIONS)
    as_read = forms.CharField(required=False, widget=forms.HiddenInput)
    in_version = forms.CharField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = CauseLink
        fields = "__all__"  # noqa: DJ007 - the admin names the fields of each page
        widgets = {name: forms.TextInput(attrs={"size": 90}) for name in ("reason", "source", "both_ways")}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        if "version" in fields:
            fields["version"].queryset = CauseGraphVersion.objects.filter(status=CauseGraphVersion.Status.DRAFT)
            fields["version"].help_text = "Only drafts take links."
            fields["version"].error_messages["invalid_choice"] = ONLY_DRAFTS
        if self.instance.pk:
            self.initial["as_read"] = digest_of([to_link(self.instance)])
            self.initial["in_version"] = str(self.instance.version_id)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        if self.instance.pk and (sentence := changed_meanwhile(self.instance, cleaned.get("as_read", ""))):
            self._show_as_stored()
            self.add_error(None, sentence)
            return cleaned
        row = copy(self.instance)
        for name, value in cleaned.items():
            setattr(row, name, value)
        for sentence in problems_of_change(row):
            self.add_error(None, sentence)
        return cleaned

    def _show_as_stored(self) -> None:
        """The page comes again with what was typed; saved once more it stands in place of what is stored now."""
        stored = CauseLink.objects.filter(pk=self.instance.pk).first()
        sent = cast(Any, self.data).copy()
        sent[self.add_prefix("as_read")] = digest_of([to_link(stored)]) if stored else GONE
        self.data = sent


class PublishLinksForm(PublishForm):
    """`as_read`: the digest of the draft whose differences the page showed."""

    as_read = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields[
            "valid_from"
        ].help_text = "Sessions from this date on are explained by these links; those before by the version before."

    def show_anew(self, as_read: str) -> None:
        """After a refusal the page shows the draft as it is now, and so does the form."""
        sent = cast(Any, self.data).copy()
        sent["as_read"] = as_read
        self.data = sent


class LinksFileForm(forms.Form):
    file = forms.FileField(
        label="CSV file",
        help_text="In the columns of a saved table. Its links take the place of all links of the draft.",
    )
