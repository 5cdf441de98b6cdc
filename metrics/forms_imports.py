"""The forms of matching columns and of answering what a preview asks."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import PurePath
from typing import Any

from django import forms

from metrics.importing.conditions import Conditions
from metrics.importing.recipes import Recipe
from metrics.match.choices import AS_IT_IS, RowChoice
from metrics.match.rows import Source
from metrics.models import ImportRecipe, ImportUnit
from metrics.services.imports.answers import MOST_WARM_UP
from sessions.models import Ball, FilterKnowledge, Intent, Landing, Method, PitchType, Surface

NOT_CHANGED = ("", "as in the file")
CONDITION_CHOICES = {"surface": Surface, "intent": Intent, "pitch_type": PitchType, "ball": Ball}
DATE_ORDERS = (
    ("", "choose"),
    ("ymd", "the year first: 2026-03-25"),
    ("dmy", "the day first: 25/3/2026"),
    ("mdy", "the month first: 3/25/2026"),
    ("unknown", "it cannot be told: leave doubtful dates out"),
)


class MatchForm(forms.Form):
    """What the numbers of a table were written for. The columns are chosen beside it, see `choice_from`."""

    name = forms.CharField(
        label="Name of this recipe",
        max_length=120,
        help_text="For example the room that exports these files.",
        error_messages={"required": "Give the recipe a name, for example the room that exports these files."},
    )
    setup = forms.CharField(
        label="Room or camera",
        max_length=80,
        required=False,
        help_text="Sessions of one room are compared with each other.",
    )
    method = forms.ChoiceField(label="Captured by", choices=Method.choices)
    landing = forms.ChoiceField(
        label="“Landing” in this table means",
        choices=Landing.choices,
        widget=forms.RadioSelect,
        help_text=(
            "The pelvis turns 9 to 21 degrees between first touch and weight on the foot, so a range holds for one "
            "of the two. Not known: such values are kept, and judged with that doubt."
        ),
    )
    filter = forms.ChoiceField(
        label="Low-pass filter of the room",
        choices=((FilterKnowledge.KNOWN, "cut-off known"), *FilterKnowledge.choices[1:]),
        widget=forms.RadioSelect,
        help_text="Peak speeds, forces and layback depend on it and are only judged against ranges of the same filter.",
    )
    filter_hz = forms.FloatField(label="Cut-off in Hz", required=False)
    frame_rate_hz = forms.FloatField(label="Frames per second", required=False)
    date_order = forms.ChoiceField(
        label="Dates are written with",
        choices=DATE_ORDERS,
        error_messages={"required": "Choose whether the day or the month comes first in this table’s dates."},
    )
    pitch_type = forms.ChoiceField(choices=PitchType.choices)
    intent = forms.ChoiceField(choices=Intent.choices)
    surface = forms.ChoiceField(choices=Surface.choices)
    ball = forms.ChoiceField(choices=Ball.choices)
    warm_up_first = forms.IntegerField(
        label="First throws, as warm-up", min_value=0, max_value=MOST_WARM_UP, required=False
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        known = data.get("filter") == FilterKnowledge.KNOWN
        if known and data.get("filter_hz") is None and "filter_hz" not in self.errors:
            self.add_error("filter_hz", "Enter the cut-off, or say that it is not known.")
        return data

    @property
    def asks_date_order(self) -> bool:
        return bool(self.initial.get("asks_date_order"))

    def recipe(self, first: Recipe, definitions: Mapping[str, str]) -> Recipe:
        """`first` with what was said here; its columns are put in by the caller."""
        said = self.cleaned_data
        known = said["filter"] != FilterKnowledge.UNKNOWN
        return Recipe(
            shape=first.shape,
            columns=first.columns,
            names=first.names,
            landing=said["landing"],
            filter_hz=said["filter_hz"] if said["filter"] == FilterKnowledge.KNOWN else None,
            filter_known=known,
            definitions=tuple(sorted(definitions.items())),
            method=said["method"],
            conditions=Conditions(**{name: said[name] for name in CONDITION_CHOICES}),
            warm_up_first=said["warm_up_first"] or 0,
            date_order=said["date_order"],
            decimal_mark=first.decimal_mark,
            accept_implausible=first.accept_implausible,
        )


def match_initial(recipe: Recipe, row: ImportRecipe | None, filename: str, *, has_dates: bool) -> dict[str, Any]:
    """What the form first shows: the recipe in use, or the guess and the name of the file."""
    filter_word = FilterKnowledge.KNOWN if recipe.filter_hz else FilterKnowledge.NONE
    doubtful = has_dates and recipe.date_order == "unknown"
    return {
        "name": row.name if row else PurePath(filename).stem[:120],
        "setup": row.setup if row else "",
        "frame_rate_hz": row.frame_rate_hz if row else None,
        "method": recipe.method,
        "landing": recipe.landing,
        "filter": filter_word if recipe.filter_known else FilterKnowledge.UNKNOWN,
        "filter_hz": recipe.filter_hz,
        "date_order": ("unknown" if row else "") if doubtful else recipe.date_order,
        "asks_date_order": doubtful,
        "warm_up_first": recipe.warm_up_first or None,
        **{name: getattr(recipe.conditions, name) or choices.values[0] for name, choices in CONDITION_CHOICES.items()},
    }


def choice_from(data: Mapping[str, Any], source: Source) -> RowChoice | None:
    """What was chosen for one column; None when its row was not sent."""
    what = data.get(f"{source.part}-what")
    if what is None:
        return None
    return RowChoice(
        str(what)[:120],
        str(data.get(f"{source.part}-unit", ""))[:60],
        str(data.get(f"{source.part}-sign", AS_IT_IS)),
        str(data.get(f"{source.part}-landing", "")),
    )


class ConditionsForm(forms.Form):
    """Conditions for every throw of the file, and how many first throws were warm-up."""

    surface = forms.ChoiceField(choices=[NOT_CHANGED, *Surface.choices], required=False)
    intent = forms.ChoiceField(choices=[NOT_CHANGED, *Intent.choices], required=False)
    pitch_type = forms.ChoiceField(choices=[NOT_CHANGED, *PitchType.choices], required=False)
    ball = forms.ChoiceField(choices=[NOT_CHANGED, *Ball.choices], required=False)
    warm_up_first = forms.IntegerField(
        label="First throws, as warm-up", min_value=0, max_value=MOST_WARM_UP, required=False
    )

    def conditions(self) -> dict[str, str]:
        return {name: self.cleaned_data[name] for name in CONDITION_CHOICES}

    @classmethod
    def of(cls, answers: Mapping[str, Any]) -> ConditionsForm:
        """The form as it was last answered."""
        return cls(initial={**answers.get("conditions", {}), "warm_up_first": answers.get("warm_up_first") or None})


class AthleteForm(forms.Form):
    athlete = forms.UUIDField(error_messages={"required": "Choose an athlete.", "invalid": "Choose an athlete."})


class DateForm(forms.Form):
    date = forms.DateField(
        input_formats=["%Y-%m-%d"],
        error_messages={"required": "Enter the day of the throws.", "invalid": "Enter the day as 2026-03-25."},
    )


class TargetForm(forms.Form):
    target = forms.ChoiceField(
        choices=ImportUnit.Target.choices,
        error_messages={"required": "Choose one of the two.", "invalid_choice": "Choose one of the two."},
    )


class AcceptForm(forms.Form):
    """`read_at` is the draft's revision that the person saw."""

    read_at = forms.IntegerField()
