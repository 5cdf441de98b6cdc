"""Forms of the range profiles' admin pages: one rule, a draft's settings, and publishing."""

from __future__ import annotations

from copy import copy
from dataclasses import fields
from typing import Any

from django import forms

from metrics.catalogue import load_catalogue
from metrics.judging.values import CONDITION_FIELDS, STARTING_THRESHOLDS, Thresholds
from metrics.models import RangeProfile, RangeProfileVersion, RangeRule
from metrics.services.profile_drafts import rule_conflicts
from metrics.services.profiles import wrong_settings
from sessions.models import Ball, Intent, PitchType, Surface

LANES = {
    "lower_half": "Lower half",
    "trunk": "Trunk",
    "arm": "Arm",
    "sequence": "Sequence",
    "screen": "Hands-on screens",
}
Choices = list[tuple[str, Any]]


def metric_choices() -> Choices:
    """The catalogue's metrics by lane, with unit and key."""
    groups: dict[str, Choices] = {}
    for metric in load_catalogue().metrics.values():
        lane = LANES.get(metric.lane, metric.lane)
        groups.setdefault(lane, []).append((metric.key, f"{metric.name} ({metric.unit}) · {metric.key}"))
    return [("", "---------"), *groups.items()]


class RangeRuleForm(forms.ModelForm):
    """One rule of a draft, checked beside the others of its version."""

    metric = forms.ChoiceField(choices=metric_choices)

    class Meta:
        model = RangeRule
        fields = "__all__"  # noqa: DJ007 - the admin names the fields of each page

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        if "version" in fields:
            drafts = RangeProfileVersion.objects.filter(status=RangeProfileVersion.Status.DRAFT)
            fields["version"].queryset = drafts.select_related("profile")
            fields["version"].help_text = "Only drafts take rules."
        for name in ("method", "level", *CONDITION_FIELDS):
            if name in fields:
                fields[name].choices = [("", "any"), *fields[name].choices[1:]]

    def clean(self) -> dict[str, Any]:
        """Sentences at the fields that they are about; what they say hides the table's own constraints."""
        cleaned = super().clean() or self.cleaned_data
        row = copy(self.instance)
        for name, value in cleaned.items():
            setattr(row, name, value)
        if not self.errors and row.version_id:
            for field, sentences in rule_conflicts(row).items():
                for sentence in sentences:
                    self.add_error(field if field in self.fields else None, sentence)
        return cleaned


THRESHOLD_WORDS: dict[str, tuple[str, str]] = {
    "flag": ("Flag", "Chance beyond the flag limit that a flag needs."),
    "in_range": ("In range", "Chance inside the target that *in range* needs."),
    "watch": ("Watch", "Chance outside the target that a watch needs."),
    "sure": ("Sure", "From this chance on the verdict reads *sure*, below it *likely*."),
    "perhaps_flag": ("Perhaps flag", "A watch with this chance of a flag says so."),
    "too_narrow": (
        "Too narrow",
        "Width of the target, in standard uncertainties, below which nothing can be in range.",
    ),
    "confirm_p": ("Confirmed by one session", "Chance of a flag from which one session confirms it …"),
    "confirm_n": ("… with at least", "scored throws."),
    "confirm_pair_p": ("Confirmed by two sessions", "Chance of a flag of the mean of two comparable sessions."),
    "comparable_days": ("Comparable within", "days."),
    "recurring_k": ("Recurring in", "of the last comparable sessions …"),
    "recurring_n": ("… of the last", "comparable sessions."),
    "severity_cap": ("Largest severity", "Severity grows no further than this."),
    "open_side_cap": ("Severity without a flag limit", "Largest severity on a side that has no flag limit."),
    "coverage_min": ("Least coverage", "Share of the weight that must be scored before a session score is shown."),
}
THRESHOLD_PREFIX = "threshold_"


def _threshold_field(name: str, kind: str) -> forms.Field:
    label, help_text = THRESHOLD_WORDS[name]
    make = forms.IntegerField if kind == "int" else forms.FloatField
    return make(label=label, help_text=help_text.replace("*", ""))


THRESHOLD_FORM_FIELDS = {
    THRESHOLD_PREFIX + item.name: _threshold_field(item.name, str(item.type)) for item in fields(Thresholds)
}


class WeightsField(forms.CharField):
    """One metric a line, `metric = weight`."""

    widget = forms.Textarea(attrs={"rows": 8, "cols": 60, "spellcheck": "false"})

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(f"{key} = {weight:g}" for key, weight in value.items()) if isinstance(value, dict) else value

    def clean(self, value: Any) -> dict[str, float]:
        weights: dict[str, float] = {}
        for number, line in enumerate(super().clean(value).splitlines(), start=1):
            if not line.strip():
                continue
            key, _, weight = (part.strip() for part in line.partition("="))
            if key in weights:
                raise forms.ValidationError(f"Line {number}: {key} has a weight already.")
            try:
                weights[key] = float(weight)
            except ValueError:
                raise forms.ValidationError(f"Line {number}: write metric = weight, for example {EXAMPLE}.") from None
        return weights


EXAMPLE = "stride_length = 7"


class VersionSettingsBase(forms.ModelForm):
    """A draft's thresholds, weights and conditions of scored throws."""

    weights = WeightsField(
        required=False,
        help_text=f"One metric a line, where it differs from the catalogue's weight: {EXAMPLE}. From 0 to 10.",
    )
    condition_surface = forms.ChoiceField(required=False, choices=[("", "any"), *Surface.choices], label="Surface")
    condition_intent = forms.ChoiceField(required=False, choices=[("", "any"), *Intent.choices], label="Intent")
    condition_pitch_type = forms.ChoiceField(required=False, choices=[("", "any"), *PitchType.choices], label="Pitch")
    condition_ball = forms.ChoiceField(required=False, choices=[("", "any"), *Ball.choices], label="Ball")

    class Meta:
        model = RangeProfileVersion
        fields = ("weights",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = {item.name: getattr(STARTING_THRESHOLDS, item.name) for item in fields(Thresholds)}
        for name, value in {**known, **self.instance.thresholds}.items():
            self.initial[THRESHOLD_PREFIX + name] = value
        for name in CONDITION_FIELDS:
            self.initial[f"condition_{name}"] = self.instance.conditions.get(name, "")

    @property
    def thresholds(self) -> dict[str, float]:
        """All of them, so that the version says what it decides by even when the starting values change."""
        return {item.name: self.cleaned_data[THRESHOLD_PREFIX + item.name] for item in fields(Thresholds)}

    @property
    def conditions(self) -> dict[str, str]:
        return {name: value for name in CONDITION_FIELDS if (value := self.cleaned_data[f"condition_{name}"])}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors:
            for sentence in wrong_settings(self.thresholds, {}, self.conditions):
                self.add_error(None, sentence)
            for sentence in wrong_settings({}, cleaned["weights"], {}):
                self.add_error("weights", sentence)
        return cleaned


VersionSettingsForm = type("VersionSettingsForm", (VersionSettingsBase,), dict(THRESHOLD_FORM_FIELDS))


class PublishForm(forms.Form):
    valid_from = forms.DateField(
        label="Valid from",
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="Sessions from this date on are scored by this version. Sessions scored before keep theirs.",
    )
    reason = forms.CharField(
        max_length=300, widget=forms.TextInput(attrs={"size": 80}), help_text="What changed, and why."
    )


class ProfileForm(forms.ModelForm):
    class Meta:
        model = RangeProfile
        fields = ("name", "description")
