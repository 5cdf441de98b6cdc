"""The choices above the roster."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from uuid import UUID

from django import forms

from athletes.models import Availability, Level, TrainingGroup
from desk.selectors.roster import EVERYONE, MINE, SORT_WORDS, RosterChoice, RosterCounts
from sessions.models import Method


@dataclass(frozen=True, slots=True)
class Select:
    """One list of choices, each with the label before its word, since the label itself is hidden.

    `chosen` is what holds, also when nothing was chosen or understood.
    """

    name: str
    label: str
    options: tuple[tuple[str, str], ...]
    chosen: str


class RosterForm(forms.Form):
    """A GET form of which every part may be missing or wrong: what is not understood is as if not chosen."""

    who = forms.ChoiceField(choices=[(MINE, "Mine"), (EVERYONE, "Everyone")], required=False)
    q = forms.CharField(max_length=80, required=False, label="Name")
    group = forms.ChoiceField(required=False, label="Group")
    level = forms.ChoiceField(choices=[("", "all"), *Level.choices], required=False, label="Level")
    method = forms.ChoiceField(choices=[("", "all"), *Method.choices], required=False, label="Method")
    availability = forms.ChoiceField(
        choices=[("", "all"), *Availability.State.choices], required=False, label="Availability"
    )
    sort = forms.ChoiceField(choices=list(SORT_WORDS.items()), required=False, label="Sort")

    def __init__(self, data: Mapping[str, str], *, groups: Sequence[TrainingGroup], counts: RosterCounts) -> None:
        super().__init__(data)
        self.counts, self.groups = counts, groups
        self.fields["group"].choices = [("", "all"), *((str(group.uuid), group.name) for group in groups)]  # type: ignore[attr-defined]

    @cached_property
    def choice(self) -> RosterChoice:
        """Opened on *mine* by whoever has athletes of their own."""
        self.full_clean()
        given = {name: value for name, value in self.cleaned_data.items() if value}
        given.setdefault("who", MINE if self.counts.mine else EVERYONE)
        if "group" in given:
            given["group"] = UUID(given["group"])
        return RosterChoice(**given)

    @property
    def selects(self) -> list[Select]:
        """Those that offer more than one option."""
        choice = self.choice
        named = [(name, self.fields[name]) for name in ("group", "level", "method", "availability", "sort")]
        return [
            Select(name, str(field.label), _options(field), str(getattr(choice, name) or ""))
            for name, field in named
            if len(field.choices) > 1  # type: ignore[attr-defined]
        ]


def _options(field: forms.Field) -> tuple[tuple[str, str], ...]:
    return tuple((value, f"{field.label}: {word}") for value, word in field.choices)  # type: ignore[attr-defined]
