"""The choices above the list of follow-ups, and the three ways to decide one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from athletes.forms import DayField, ServiceForm
from plans.selectors.change_options import ChangeOption
from plans.selectors.follow_up_list import EVERYONE, MINE, SORT_WORDS, STATES, FollowUpChoice

CHANGED_MEANWHILE = "This page is older than the work that it shows. Look at it as it is now, then decide again."


class FollowUpChoiceForm(forms.Form):
    """A GET form of which every part may be missing or wrong: what is not understood is as if not chosen."""

    who = forms.ChoiceField(choices=[(MINE, "Mine"), (EVERYONE, "Everyone")], required=False)
    q = forms.CharField(max_length=80, required=False, label="Name")
    state = forms.ChoiceField(choices=list(STATES.items()), required=False, label="Show")
    sort = forms.ChoiceField(choices=list(SORT_WORDS.items()), required=False, label="Sort")
    day = DayField(required=False)

    def __init__(self, data: Mapping[str, str], *, has_own: bool) -> None:
        super().__init__(data)
        self.has_own = has_own

    @property
    def choice(self) -> FollowUpChoice:
        """Opened on *mine* by whoever has athletes of their own."""
        self.full_clean()
        given = {name: value for name, value in self.cleaned_data.items() if value}
        given.setdefault("who", MINE if self.has_own else EVERYONE)
        return FollowUpChoice(**given)


class DecidingForm(ServiceForm):
    """`seen`: the revision of the work that the page showed."""

    seen = forms.IntegerField(min_value=0, widget=forms.HiddenInput, error_messages={"required": CHANGED_MEANWHILE})
    note = forms.CharField(max_length=300, required=False, label="Note")

    def __init__(self, data: Mapping[str, Any] | None = None, **options: Any) -> None:
        super().__init__(data, auto_id=f"{self.way}-%s", **options)

    way = "close"


class CloseForm(DecidingForm):
    way = "close"


class ContinueForm(DecidingForm):
    way = "continue"
    due = DayField(label="Next follow-up")
    field_order = ("due", "note", "seen")


class ChangeForm(DecidingForm):
    """`version` stands as the option that was chosen; an empty `due` is what the library says of it."""

    way = "change"
    version = forms.ChoiceField(label="Other work")
    start = DayField(label="Start")
    due = DayField(label="Next follow-up", required=False, help_text="Empty: when the library looks at it again.")
    field_order = ("version", "start", "due", "note", "seen")

    def __init__(self, data: Mapping[str, Any] | None = None, *, options: Sequence[ChangeOption], **given: Any) -> None:
        super().__init__(data, **given)
        self.options = {one.value: one for one in options}
        answering = [(one.value, one.words) for one in options if one.answers]
        others = [(one.value, one.words) for one in options if not one.answers]
        groups = (("For the same findings", answering), ("Others of the library", others))
        self.fields["version"].choices = [("", "Choose…"), *[one for one in groups if one[1]]]  # type: ignore[attr-defined]

    def clean_version(self) -> ChangeOption:
        return self.options[self.cleaned_data["version"]]
