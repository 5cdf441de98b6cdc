"""What a coach types when work is given or changed: its dates, its dose, its reasons."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from athletes.forms import DayField, ServiceForm
from plans.library import Dose
from plans.library.dose_words import span_words
from plans.library.words import SUPERVISIONS
from plans.selectors.reasons import ReasonOption
from plans.services.prescribing import Reason

KG_A_POUND = 0.45359237
TWO_NUMBERS = re.compile(r"(\d+(?:[.,]\d+)?)(?:\s*(?:to|[-–—])\s*(\d+(?:[.,]\d+)?))?\s*(kg|lbs?)?", re.IGNORECASE)
MOST = 9999
"""More of anything is a slip of the keyboard."""
NOTHING = (None, "", 1, "1")
"""What an amount has where nothing is said of it; of movements one."""


class SpanField(forms.CharField):
    """One number or two, "3" or "8 to 12"; cleaned it is (least, most), None when empty.

    `is_load`: numbers with a fraction, in kg or, where it says so, in lb; cleaned in kg.
    """

    def __init__(self, *, is_load: bool = False, **options: Any) -> None:
        self.is_load = is_load
        super().__init__(required=False, max_length=20, **options)
        self.widget.attrs |= {"autocomplete": "off", "inputmode": "text"}

    def prepare_value(self, value: Any) -> Any:
        return span_words((value[0], value[1])) if isinstance(value, tuple) else value

    def clean(self, value: Any) -> Any:
        text = str(super().clean(value)).strip()
        return self._read(text) if text else None

    def _read(self, text: str) -> tuple[float, float]:
        found = TWO_NUMBERS.fullmatch(text)
        if found is None or (found[3] and not self.is_load):
            raise ValidationError(f"“{text}” is not understood. Write one number, or two as 8 to 12.")
        ends = [float(part.replace(",", ".")) for part in (found[1], found[2] or found[1])]
        if not self.is_load and any(end % 1 for end in ends):
            raise ValidationError(f"“{text}” has a fraction. Write whole numbers.")
        if ends[0] <= 0:
            raise ValidationError(f"“{text}” is no dose. Write a number above 0, or leave it empty.")
        if ends[0] > ends[1]:
            raise ValidationError("Write the smaller number first.")
        if ends[1] > MOST:
            raise ValidationError(f"“{text}” is too much. Check the number.")
        if not self.is_load:
            return int(ends[0]), int(ends[1])
        factor = KG_A_POUND if (found[3] or "").lower().startswith("lb") else 1.0
        return round(ends[0] * factor, 1), round(ends[1] * factor, 1)


class PlanForm(ServiceForm):
    """What all works of a plan share."""

    start = DayField(label="From")
    due = DayField(label="Look again on", help_text="The follow-up. What it is for is measured again then.")
    is_shown = forms.BooleanField(
        required=False, label="Show it to the family", help_text="Until then only staff and clinicians read it."
    )


class DoseForm(ServiceForm):
    """How much of one work, and with whom. `base`: the dose that it begins with.

    `used` are the fields that this dose has, `others` those that it could have.
    """

    sets = SpanField(label="Sets")
    reps = SpanField(label="Repetitions")
    seconds = SpanField(label="Seconds each")
    throws = SpanField(label="Throws")
    work_minutes = SpanField(label="Minutes")
    days = SpanField(label="Days a week")
    load_kg = SpanField(label="Load in kg", is_load=True, help_text="Or with its unit: 4 lb.")
    moves = forms.IntegerField(label="Different movements", min_value=1, max_value=20, required=False)
    each_side = forms.BooleanField(label="Each side", required=False)
    supervision = forms.ChoiceField(label="With whom", choices=list(SUPERVISIONS.items()))
    words = forms.CharField(
        label="In words", max_length=200, required=False, help_text="Stands instead of the numbers."
    )
    note = forms.CharField(label="Note", max_length=300, required=False, help_text="For the athlete.")

    AMOUNTS = ("sets", "reps", "seconds", "throws", "work_minutes", "days", "load_kg", "moves", "words")
    ALWAYS = ("days",)

    def __init__(self, posted: QueryDict | None, *, base: Dose, prefix: str, note: str = "") -> None:
        self.base = base
        initial = {name: getattr(base, name) for name in (*self.AMOUNTS, "each_side", "supervision")}
        super().__init__(posted, prefix=prefix, initial=initial | {"note": note})

    @property
    def used(self) -> list[forms.BoundField]:
        return [self[name] for name in self.AMOUNTS if self._is_used(name)]

    @property
    def others(self) -> list[forms.BoundField]:
        return [self[name] for name in self.AMOUNTS if not self._is_used(name)]

    @property
    def dose(self) -> Dose:
        """As typed; changed by a coach it is the house's own, whatever it began with."""
        typed = {name: self.cleaned_data[name] for name in (*self.AMOUNTS, "each_side", "supervision")}
        typed["moves"] = typed["moves"] or 1
        edited = replace(self.base, **typed)
        return edited if edited == self.base else replace(edited, basis="house")

    def _is_used(self, name: str) -> bool:
        """Whoever typed something wrong into a field finds it in sight."""
        if name in self.ALWAYS or (self.is_bound and self.errors.get(name)):
            return True
        values = (getattr(self.base, name), self[name].value())
        return any(value not in NOTHING for value in values)


class WorkForm(DoseForm):
    """One work that is about to be given: dose, note, and what it is for."""

    seen = forms.IntegerField(widget=forms.HiddenInput)
    reasons = forms.MultipleChoiceField(
        label="What it is for",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Say what it is for: choose at least one finding or starting point."},
    )

    def __init__(
        self,
        posted: QueryDict | None,
        *,
        base: Dose,
        prefix: str,
        number: int,
        options: Sequence[ReasonOption],
    ) -> None:
        super().__init__(posted, base=base, prefix=prefix)
        self.options = {one.value: one for one in options}
        reasons = self.fields["reasons"]
        reasons.choices = [(one.value, _told(one)) for one in options]  # type: ignore[attr-defined]
        ticked = [one.value for one in options if one.is_answered]
        self.initial = {**self.initial, "seen": number, "reasons": ticked}

    @property
    def near(self) -> list[forms.boundfield.BoundWidget]:
        """What stands in sight: the needs, and whatever is ticked; everything where there is neither."""
        boxes = list(self["reasons"])
        return [box for box in boxes if self._is_near(box)] or boxes

    @property
    def far(self) -> list[forms.boundfield.BoundWidget]:
        boxes = list(self["reasons"])
        return [box for box in boxes if not self._is_near(box)] if any(map(self._is_near, boxes)) else []

    def _is_near(self, box: forms.boundfield.BoundWidget) -> bool:
        option = self.options[str(box.data["value"])]
        return option.is_need or option.is_answered or bool(box.data["selected"])

    @property
    def chosen(self) -> list[Reason]:
        return [self.options[value].reason for value in self.cleaned_data["reasons"]]


class ChangeForm(PlanForm, DoseForm):
    """Work that runs, whole, with the revision that the page showed."""

    revision = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, posted: QueryDict | None, *, base: Dose, shown: Mapping[str, Any]) -> None:
        super().__init__(posted, base=base, prefix="")
        self.initial = {**self.initial, **shown}

    def show_revision(self, revision: int) -> None:
        """After somebody else was first: what was typed stays, and the next press is meant for what stands now."""
        data = QueryDict(mutable=True)
        data.update(self.data)
        data["revision"] = str(revision)
        self.data = data


class RevisionForm(ServiceForm):
    """A press on a work as the page showed it."""

    revision = forms.IntegerField()


class StopForm(RevisionForm):
    note = forms.CharField(max_length=300, required=False)


class ShowForm(RevisionForm):
    is_shown = forms.BooleanField(required=False)


def all_valid(forms_given: Iterable[forms.Form]) -> bool:
    """Every form is asked, so that all say what is wrong."""
    valid = [form.is_valid() for form in forms_given]
    return all(valid)


def _told(one: ReasonOption) -> str:
    return f"{one.label} ({one.note})" if one.note else one.label
