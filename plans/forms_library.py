"""The form of one intervention: its fields, its doses by age, and each rule of the library at the field it is about."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField

from athletes.forms import ServiceForm
from metrics.catalogue import load_catalogue
from plans.library import BadLibrary, end_words, from_fields, to_fields
from plans.library.checks import RULES, SPANS
from plans.library.words import (
    BAND_WORDS,
    BANDS,
    BASES,
    EFFORTS,
    KINDS,
    LOADS,
    PHASES,
    STATUS_WORDS,
    SUPERVISIONS,
)
from plans.typed_doses import NotASpan, parse_load, parse_span, type_span

MORE_ANSWERS = 3
"""Empty lines under those that are there: with each saving come three more."""
MOST_ANSWERS = 24

LINES = ("instructions", "cautions")
TEXTS = ("name", "kind", "effort", "load", "source", "status")
SWITCHES: Mapping[str, str] = {
    "has_throws": "It has throws",
    "is_restraint": "It asks for less, not for more",
    "is_return": "It is the throwing of a return to throw",
    "has_impact": "It has hard landings",
    "needs_pain": "Only where something hurts",
}
SPAN_LABELS: Mapping[str, str] = {
    "sets": "Sets",
    "reps": "Repetitions",
    "seconds": "Seconds",
    "throws": "Throws",
    "work_minutes": "Minutes",
    "days": "Days a week",
    "load_kg": "Load (kg or lb)",
}
FIELD_OF_RULE: Mapping[str, str] = {
    "has_key_and_name": "name",
    "words_are_known": "kind",
    "answers_what_is_worked_on": "answer_0",
    "is_told_in_short_sentences": "instructions",
    "says_when_to_stop": "cautions",
    "throws_are_counted": "has_throws",
    "doses_are_amounts": "adult_on",
    "less_takes_no_time": "adult_on",
    "bands_have_no_gap": "adult_on",
    "younger_do_no_more": "adult_on",
    "children_are_not_alone": "under_13_on",
    "is_looked_at_again": "recheck_first",
}
"""Where a rule's sentence stands; one about a band of age stands at that band instead."""


def _choices(words: Mapping[str, str] | Sequence[str]) -> list[tuple[str, str]]:
    return list(words.items()) if isinstance(words, Mapping) else [(word, word) for word in words]


def purpose_choices() -> list[Any]:
    """Every metric that may be worked on, in both directions, kind by kind of metric."""
    groups: dict[str, list[tuple[str, str]]] = {}
    for metric in sorted(load_catalogue().metrics.values(), key=lambda one: one.name):
        if metric.kind not in ("outcome", "style"):
            for side in ("low", "high"):
                groups.setdefault(metric.kind, []).append((f"{metric.key} {side}", end_words((metric.key, side))))
    return [("", "nothing"), *groups.items()]


class InterventionForm(ServiceForm):
    """`cleaned_data["fields"]` is what services take; `kept` what the library says now, None for a new one."""

    seen = forms.IntegerField(widget=forms.HiddenInput, initial=0)
    name = forms.CharField(max_length=120)
    kind = forms.ChoiceField(choices=_choices(KINDS))
    instructions = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 7}), help_text="One sentence a line, three to six of them."
    )
    cautions = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="One sentence a line. One begins with: Stop when. For a referral one begins with: Do not.",
    )
    effort = forms.ChoiceField(choices=_choices(EFFORTS), help_text="Low: at most half effort, or without hurry.")
    load = forms.ChoiceField(choices=_choices(LOADS), help_text="Everything but none is stopped by pain.")
    recheck_first = forms.IntegerField(label="Looked at again after, weeks", min_value=1, max_value=99)
    recheck_last = forms.IntegerField(label="and at the latest, weeks", min_value=1, max_value=99)
    source = forms.CharField(max_length=300, help_text="Where it comes from, or: common practice, no published source.")
    status = forms.ChoiceField(choices=_choices(STATUS_WORDS))
    reason = forms.CharField(max_length=300, required=False, label="Why it is changed")

    def __init__(self, data: Any = None, *, key: str, seen: int = 0, kept: Mapping[str, Any] | None = None) -> None:
        self.key, self.kept = key, kept
        super().__init__(data, initial={"seen": seen, **initial_of(kept)})
        if kept is None:
            del self.fields["reason"]
        lines = min(len(kept["answers"]) if kept else 0, MOST_ANSWERS) + MORE_ANSWERS
        self.answer_names = [f"answer_{number}" for number in range(lines)]
        choices = _with_retired(purpose_choices(), kept)
        for number, name in enumerate(self.answer_names):
            self.fields[name] = forms.ChoiceField(choices=choices, required=False, label=f"For ({number + 1})")
        for name, label in SWITCHES.items():
            self.fields[name] = forms.BooleanField(required=False, label=label)
        for phase, words in PHASES.items():
            self.fields[f"not_in_{phase}"] = forms.CharField(required=False, max_length=200, label=words.capitalize())
        for band in BANDS:
            self.fields.update(_band_fields(band))

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        doses = {band: self._dose(band, given) for band in BANDS if given.get(f"{band}_on")}
        if self.errors:
            return given
        fields = self._fields(given, doses)
        try:
            value = from_fields(fields, "This intervention")
        except BadLibrary as error:
            raise ValidationError(str(error)) from None
        for rule in RULES:
            for sentence in rule(value):
                self.add_error(_place(rule.__name__, sentence), sentence[:1].upper() + sentence[1:])
        return {**given, "fields": to_fields(value)}

    def _fields(self, given: Mapping[str, Any], doses: Mapping[str, Any]) -> dict[str, Any]:
        fields: dict[str, Any] = {"key": self.key, **{name: given[name].strip() for name in TEXTS}}
        fields |= {name: [line.strip() for line in given[name].splitlines() if line.strip()] for name in LINES}
        fields |= {name: given[name] for name in SWITCHES}
        chosen = dict.fromkeys(given[name] for name in self.answer_names if given[name])
        phases = {phase: given[f"not_in_{phase}"].strip() for phase in PHASES}
        return fields | {
            "answers": [one.split(" ") for one in chosen],
            "recheck_weeks": [given["recheck_first"], given["recheck_last"]],
            "doses": dict(doses),
            "not_in": {phase: why for phase, why in phases.items() if why},
        }

    def _dose(self, band: str, given: Mapping[str, Any]) -> dict[str, Any]:
        dose: dict[str, Any] = {name: given[f"{band}_{name}"] for name in ("supervision", "basis")}
        for name in SPAN_LABELS:
            try:
                span = (parse_load if name == "load_kg" else parse_span)(given.get(f"{band}_{name}", ""))
            except NotASpan as error:
                self.add_error(f"{band}_{name}", str(error))
                continue
            dose |= {name: span} if span else {}
        dose |= {"each_side": True} if given[f"{band}_each_side"] else {}
        dose |= {"moves": given[f"{band}_moves"]} if given.get(f"{band}_moves") else {}
        return dose | ({"words": words} if (words := given[f"{band}_words"].strip()) else {})

    def write(self, service: Callable[..., Any], **given: Any) -> bool:
        """Hands the fields to `write_version` with what was seen, or to `add_intervention`."""
        seen = {"seen": self.cleaned_data["seen"], "reason": self.cleaned_data["reason"]} if self.kept else {}
        try:
            self.result = service(fields=self.cleaned_data["fields"], **seen, **given)
        except ValidationError as error:
            self.refuse(error)
            return False
        return True

    # ---- for the template ----

    @property
    def about(self) -> list[BoundField]:
        return [self[name] for name in ("name", "kind", "instructions", "cautions")]

    @property
    def answers(self) -> list[BoundField]:
        return [self[name] for name in self.answer_names]

    @property
    def nature(self) -> list[BoundField]:
        return [self[name] for name in ("effort", "load", *SWITCHES)]

    @property
    def phases(self) -> list[BoundField]:
        return [self[f"not_in_{phase}"] for phase in PHASES]

    @property
    def evidence(self) -> list[BoundField]:
        return [self[name] for name in ("recheck_first", "recheck_last", "source", "status")]

    @property
    def bands(self) -> Iterator[tuple[str, BoundField, list[BoundField]]]:
        """Words of the band, its switch, its amounts."""
        for band in BANDS:
            fields = [self[name] for name in self.fields if name.startswith(f"{band}_") and name != f"{band}_on"]
            yield BAND_WORDS[band], self[f"{band}_on"], fields


def _band_fields(band: str) -> dict[str, forms.Field]:
    whom = f", {BAND_WORDS[band]}"
    made: dict[str, forms.Field] = {f"{band}_on": forms.BooleanField(required=False, label=f"For {BAND_WORDS[band]}")}
    for name, label in SPAN_LABELS.items():
        widget = forms.TextInput(attrs={"autocomplete": "off", "aria-label": label + whom})
        made[f"{band}_{name}"] = forms.CharField(required=False, max_length=30, label=label, widget=widget)
    made[f"{band}_moves"] = forms.IntegerField(required=False, min_value=1, max_value=20, label="Movements a set")
    made[f"{band}_words"] = forms.CharField(required=False, max_length=120, label="Or in words")
    made[f"{band}_supervision"] = forms.ChoiceField(choices=_choices(SUPERVISIONS), label="Done", initial="coach")
    made[f"{band}_basis"] = forms.ChoiceField(choices=_choices(BASES), label="Taken from", initial="house")
    made[f"{band}_each_side"] = forms.BooleanField(required=False, label="Each side")
    for name in ("moves", "words", "supervision", "basis"):
        field = made[f"{band}_{name}"]
        field.widget.attrs["aria-label"] = f"{field.label}{whom}"
    return made


def _with_retired(choices: list[Any], kept: Mapping[str, Any] | None) -> list[Any]:
    """A metric that the catalogue has no more stays choosable, so that the rule can say what to do about it."""
    known = load_catalogue().metrics
    retired = [(" ".join(end), end_words(tuple(end))) for end in (kept or {}).get("answers", ()) if end[0] not in known]
    return [*choices, ("retired", retired)] if retired else choices


def _place(rule: str, sentence: str) -> str:
    about = [(band, (f"{words}: ", f" for {words} is more ")) for band, words in BAND_WORDS.items()]
    band = next((band for band, (start, more) in about if sentence.startswith(start) or more in sentence), None)
    return f"{band}_on" if band else FIELD_OF_RULE[rule]


def initial_of(fields: Mapping[str, Any] | None) -> dict[str, Any]:
    """What the form begins with: the reverse of its cleaning."""
    if fields is None:
        return {}
    initial = {name: fields[name] for name in TEXTS} | {name: fields.get(name, False) for name in SWITCHES}
    initial |= {name: "\n".join(fields[name]) for name in LINES}
    initial |= {f"answer_{number}": " ".join(end) for number, end in enumerate(fields["answers"])}
    initial["recheck_first"], initial["recheck_last"] = fields["recheck_weeks"]
    initial |= {f"not_in_{phase}": why for phase, why in fields.get("not_in", {}).items()}
    for band, dose in fields["doses"].items():
        initial[f"{band}_on"] = True
        initial |= {f"{band}_{name}": type_span(dose.get(name)) for name in (*SPANS, "load_kg")}
        for name in ("supervision", "basis", "each_side", "moves", "words"):
            initial[f"{band}_{name}"] = dose.get(name)
    return initial
