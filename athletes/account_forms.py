"""Forms of an account's own pages and of the door."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth import password_validation
from django.contrib.auth.forms import AuthenticationForm
from django.core.exceptions import ValidationError

from athletes.forms import ServiceForm
from athletes.models import Units, User
from athletes.passwords import LONGEST
from athletes.services.accounts import set_password

LONGEST_NAME = 150  # User.username
BY_LETTER = "by a letter for a forgotten password"


class PasswordField(forms.CharField):
    """Taken exactly as typed or pasted: nothing is cut, nothing is stripped. `purpose` is the browser's word for it."""

    def __init__(self, purpose: str, **options: Any) -> None:
        widget = forms.PasswordInput(attrs={"autocomplete": purpose})
        super().__init__(widget=widget, strip=False, **options)


class SignInForm(AuthenticationForm):
    """A name that is longer than any name can be is wrong like any other: PostgreSQL could not even count it."""

    def clean(self) -> dict[str, Any]:
        if len(self.cleaned_data.get("username") or "") > LONGEST_NAME:
            raise self.get_invalid_login_error()
        return super().clean()


class OwnDetailsForm(ServiceForm):
    first_name = forms.CharField(
        max_length=150, required=False, label="Given name", widget=forms.TextInput(attrs={"autocomplete": "given-name"})
    )
    last_name = forms.CharField(
        max_length=150,
        required=False,
        label="Family name",
        widget=forms.TextInput(attrs={"autocomplete": "family-name"}),
    )
    units = forms.ChoiceField(choices=[("", "as the facility"), *Units.choices], required=False)


class NewPasswordFields(ServiceForm):
    new_password = PasswordField(
        "new-password",
        help_text=f"At least 12 and at most {LONGEST} characters, of any kind; four unrelated words are good.",
    )
    again = PasswordField("new-password", label="The new password again")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        new, again = cleaned.get("new_password"), cleaned.pop("again", None)
        if new and again and new != again:
            self.add_error("again", "The two do not fit together.")
        return cleaned


class OwnPasswordForm(NewPasswordFields):
    password = PasswordField("current-password", label="Your present password")
    field_order = ("password", "new_password", "again")

    def clean(self) -> dict[str, Any]:
        """Whoever changes a password that others may know must not be told that it is changed when it is not."""
        cleaned = super().clean()
        if cleaned.get("new_password") and cleaned["new_password"] == cleaned.get("password"):
            self.add_error("new_password", "That is your present password. Choose another one.")
        return cleaned


class ForgottenForm(ServiceForm):
    email = forms.EmailField(
        label="Your e-mail address", max_length=254, widget=forms.EmailInput(attrs={"autocomplete": "email"})
    )


class ResetPasswordForm(NewPasswordFields):
    """As Django's view for a letter's link hands it the account, and saves it."""

    def __init__(self, user: User | None, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.user = user

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if self.user is not None and "new_password" in cleaned:
            try:
                password_validation.validate_password(cleaned["new_password"], self.user)
            except ValidationError as error:
                self.add_error("new_password", error)
        return cleaned

    def save(self) -> User:
        assert self.user is not None
        set_password(account=self.user, password=self.cleaned_data["new_password"], by=self.user, reason=BY_LETTER)
        return self.user


class CodeField(forms.CharField):
    """Six digits, or a recovery code; spaces and hyphens do not matter."""

    def __init__(self, **options: Any) -> None:
        attributes = {
            "autocomplete": "one-time-code",
            "autocapitalize": "none",
            "spellcheck": "false",
            "class": "short",
        }
        super().__init__(max_length=20, widget=forms.TextInput(attrs=attributes), **options)


class CodeForm(ServiceForm):
    code = CodeField(label="Code", help_text="Six digits from your app, or one of your recovery codes.")


class ProvenForm(ServiceForm):
    """Asked before anything that protects the account is changed."""

    password = PasswordField("current-password", label="Your present password")
    code = CodeField(label="Code", help_text="The six digits that your app shows now.")
