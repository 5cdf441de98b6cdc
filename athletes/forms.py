"""Forms whose fields carry the names of a service's arguments, and hand themselves to it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from athletes.models import STAFF_ROLES, Athlete, Availability, Level, Throws, User
from athletes.typed_quantities import (
    ARM_SPAN,
    HEIGHT,
    MASS,
    Ambiguous,
    NotAQuantity,
    parse_arm_span,
    parse_height,
    parse_mass,
)

Parse = Callable[[str, str], "float | Ambiguous"]


class ServiceForm(forms.Form):
    """`hand_to(service, athlete=…, by=…)`: what the service refuses stands at its field, and is typed still."""

    result: Any = None

    def hand_to(self, service: Callable[..., Any], **given: Any) -> bool:
        try:
            self.result = service(**self.cleaned_data, **given)
        except ValidationError as error:
            self._show(error)
            return False
        return True

    def refuse(self, error: ValidationError) -> None:
        """Shows what a service said at the fields that it named, for callers who ask more than one service."""
        self._show(error)

    def _show(self, error: ValidationError) -> None:
        if not hasattr(error, "error_dict"):
            self.add_error(None, error)
            return
        for name, problems in error.error_dict.items():
            self.add_error(name if name != NON_FIELD_ERRORS and name in self.fields else None, problems)


class DayField(forms.DateField):
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")

    def __init__(self, **options: Any) -> None:
        super().__init__(input_formats=["%Y-%m-%d"], **options)


class TypedQuantityField(forms.CharField):
    """Text in either system, as 6′1″ or 185 cm; the cleaned value is in the stored unit, None when empty.

    What could mean several things is asked back, never guessed.
    """

    def __init__(self, parse: Parse, **options: Any) -> None:
        self.parse, self.system = parse, "us"
        super().__init__(max_length=40, **options)
        self.widget.attrs["autocomplete"] = "off"

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            read = self.parse(text, self.system)
        except NotAQuantity as error:
            raise ValidationError(error.sentence) from None
        if isinstance(read, Ambiguous):
            raise ValidationError(read.sentence)
        return read


class InUnits(ServiceForm):
    """A form with typed quantities: `system` is the reader's, for numbers without a unit."""

    def __init__(self, *args: Any, system: str, **options: Any) -> None:
        super().__init__(*args, **options)
        for field in self.fields.values():
            if isinstance(field, TypedQuantityField):
                field.system = system


class SizeFields(InUnits):
    height_cm = TypedQuantityField(parse_height, label="Height", help_text=HEIGHT.example, required=False)
    mass_kg = TypedQuantityField(parse_mass, label="Mass", help_text=MASS.example, required=False)
    arm_span_cm = TypedQuantityField(parse_arm_span, label="Arm span", help_text=ARM_SPAN.example, required=False)


class DetailFields(ServiceForm):
    given_name = forms.CharField(max_length=80)
    family_name = forms.CharField(max_length=80)
    birth_date = DayField()
    throws = forms.ChoiceField(choices=Throws.choices)
    playing_role = forms.CharField(max_length=40, required=False, help_text="For example starter or reliever.")
    sex = forms.ChoiceField(
        choices=[("", "not said"), *(Athlete._meta.get_field("sex").choices or ())],
        required=False,
        help_text="Only used to choose body-segment proportions and the growth chart.",
    )
    responsible_coach = forms.ModelChoiceField(queryset=User.objects.none(), required=False, empty_label="nobody yet")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        coaches = User.objects.filter(role__in=STAFF_ROLES, is_active=True).order_by("last_name", "first_name")
        self.fields["responsible_coach"].queryset = coaches  # type: ignore[attr-defined]


class LevelForm(ServiceForm):
    level = forms.ChoiceField(choices=Level.choices)
    valid_from = DayField(label="From", help_text="Sessions from this date on are held against this level’s ranges.")


class NewAthleteForm(DetailFields, SizeFields):
    level = forms.ChoiceField(choices=Level.choices)
    level_from = DayField(label="Level since", help_text="Sessions before this date have no level to be judged by.")
    external_id = forms.CharField(
        max_length=120, required=False, label="Id in your files", help_text="Uploads find the athlete by it."
    )
    field_order = (
        "given_name",
        "family_name",
        "birth_date",
        "throws",
        "level",
        "level_from",
        "height_cm",
        "mass_kg",
        "arm_span_cm",
        "playing_role",
        "responsible_coach",
        "external_id",
        "sex",
    )


class AthleteForm(DetailFields):
    """Changes of an athlete's details."""

    def hand_to(self, service: Callable[..., Any], **given: Any) -> bool:
        self.cleaned_data = {"changes": dict(self.cleaned_data)}
        return super().hand_to(service, **given)


class BodySizeForm(SizeFields):
    on = DayField(label="Measured on")
    field_order = ("on", "height_cm", "mass_kg", "arm_span_cm")


class NoteForm(ServiceForm):
    text = forms.CharField(label="Note", widget=forms.Textarea(attrs={"rows": 3}), max_length=4000)
    is_cue = forms.BooleanField(required=False, label="A cue: words to use again")
    for_family = forms.BooleanField(required=False, label="The family may read it")


class AvailabilityForm(ServiceForm):
    state = forms.ChoiceField(choices=Availability.State.choices)
    limits = forms.CharField(max_length=200, required=False, help_text="For example 60 throws, or stage 3 of 6.")
    valid_from = DayField(label="From")
    until = DayField(required=False, label="To", help_text="Empty: until something else is set.")


class PainForm(ServiceForm):
    where = forms.CharField(
        max_length=80, label="Where", help_text="Elbow, shoulder, forearm …; or numb fingers, swelling, lost motion."
    )
    how_much = forms.TypedChoiceField(
        choices=[("", "not said"), *((str(n), str(n)) for n in range(11))],
        coerce=int,
        empty_value=None,
        required=False,
        label="How much",
        help_text="0 none, 10 the worst.",
    )
    since = DayField(required=False, label="Since")


class ClearanceForm(ServiceForm):
    cleared_by_name = forms.CharField(max_length=120, label="Cleared by", help_text="The clinician’s name.")
    cleared_on = DayField(label="On")
    limits = forms.CharField(
        max_length=200, required=False, help_text="What still holds, for example 60 throws, flat ground."
    )


class ConsentForm(ServiceForm):
    given_by_name = forms.CharField(max_length=120, label="Who agreed")
    relation = forms.CharField(max_length=40, help_text="Mother, father, the athlete …")
    given_on = DayField(label="On")


def a_year_before(day: dt.date) -> dt.date:
    return day - dt.timedelta(days=365)
