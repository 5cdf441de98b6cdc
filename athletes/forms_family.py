"""Forms of invitations, joining and consent online."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from athletes.forms import ServiceForm
from athletes.models import Role, TrainingGroup, User
from athletes.models.invitations import NEEDS_ATHLETE
from athletes.services.invitations import roles_to_invite


class InviteFamilyForm(ServiceForm):
    role = forms.ChoiceField(
        label="Who",
        choices=[(Role.GUARDIAN, "a guardian"), (Role.ATHLETE, "the athlete")],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose who is invited: a guardian or the athlete."},
    )
    email = forms.EmailField(label="E-mail")
    relation = forms.CharField(max_length=40, required=False, help_text="Of a guardian: mother, father …")
    first_name = forms.CharField(max_length=150, required=False, label="Given name")
    last_name = forms.CharField(max_length=150, required=False, label="Family name")


class InvitePersonForm(ServiceForm):
    """Whom the inviting account may invite without an athlete."""

    role = forms.ChoiceField(label="Role")
    group = forms.ModelChoiceField(
        queryset=TrainingGroup.objects.all(),
        required=False,
        help_text="Of a visiting coach: whose athletes they see.",
    )
    email = forms.EmailField(label="E-mail")
    first_name = forms.CharField(max_length=150, required=False, label="Given name")
    last_name = forms.CharField(max_length=150, required=False, label="Family name")

    def __init__(self, *args: Any, by: User, **options: Any) -> None:
        super().__init__(*args, **options)
        allowed = roles_to_invite(by) - set(NEEDS_ATHLETE)
        choices = [(role.value, role.label) for role in Role if role in allowed]
        self.fields["role"].choices = choices  # type: ignore[attr-defined]


class JoinForm(ServiceForm):
    """The role is not asked for: it stands in the invitation."""

    username = forms.CharField(
        max_length=150,
        label="Sign-in name",
        help_text="Letters, digits and @ . + - _ only. You will type it at each sign-in.",
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )
    password = forms.CharField(
        label="Password",
        strip=False,
        help_text="12 characters or more. A few words in a row are easy to keep in mind.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    password_again = forms.CharField(
        label="Password once more", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "new-password"})
    )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if "password_again" in given and given.pop("password_again") != given.get("password"):
            raise ValidationError({"password_again": "The two passwords differ. Type the same one twice."})
        return given


class AgreeForm(ServiceForm):
    given_by_name = forms.CharField(max_length=120, label="Your name", help_text="Typed in full, as a signature.")
    relation = forms.CharField(max_length=40, label="You are", help_text="Mother, father, the athlete …")
    agreed = forms.BooleanField(label="I have read the text and agree.")
    version = forms.CharField(widget=forms.HiddenInput)

    def hand_to(self, service: Callable[..., Any], **given: Any) -> bool:
        self.cleaned_data.pop("agreed")
        return super().hand_to(service, **given)
