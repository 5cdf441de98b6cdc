"""Choosing files, and choosing how a text file is read."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from athletes.forms import DayField, ServiceForm
from sessions.formats.decoding import ENCODINGS
from sessions.formats.delimiters import DECIMAL_MARKS, DELIMITERS
from sessions.models import CaptureSetup

ACCEPTED_ENDINGS = ".csv,.tsv,.txt,.xlsx,.c3d"
FIND_OUT = ("", "find out from the file")
# A tab does not travel well in the value of an option, its name does.
DELIMITER_OF_WORD = {word: mark for mark, word in DELIMITERS.items()}


class ManyFilesInput(forms.ClearableFileInput):
    allow_multiple_selected = True


class ManyFilesField(forms.FileField):
    """Any number of files; the cleaned value is their list. Empty files are the service's to refuse by name."""

    widget = ManyFilesInput(attrs={"accept": ACCEPTED_ENDINGS})

    def clean(self, value: Any, initial: Any = None) -> list[UploadedFile]:
        files = list(value or [])
        if not files:
            raise forms.ValidationError("Choose at least one file.")
        return files


class UploadForm(forms.Form):
    """`for_session`: the open session that the files are sent to, by its uuid; empty: found out from each file."""

    table_files = ManyFilesField(label="Files")
    for_session = forms.UUIDField(required=False)

    @property
    def sentence(self) -> str:
        """Why nothing was taken."""
        return " ".join(str(error) for errors in self.errors.values() for error in errors)


class ReadAgainForm(forms.Form):
    """How to read a text file that was read wrongly; what stays empty is found out from the file."""

    encoding = forms.ChoiceField(label="Character set", choices=[FIND_OUT, *ENCODINGS.items()], required=False)
    delimiter = forms.ChoiceField(
        label="Columns are divided by",
        choices=[FIND_OUT, *((word, word) for word in DELIMITER_OF_WORD)],
        required=False,
    )
    decimal_mark = forms.ChoiceField(
        label="Decimal mark",
        choices=[FIND_OUT, *((mark, word) for mark, word in DECIMAL_MARKS.items())],
        required=False,
    )

    def options(self) -> dict[str, str]:
        """As the reader takes them."""
        chosen = {**self.cleaned_data, "delimiter": DELIMITER_OF_WORD.get(self.cleaned_data["delimiter"], "")}
        return {name: value for name, value in chosen.items() if value}

    @classmethod
    def of(cls, options: dict[str, str]) -> ReadAgainForm:
        """The form as it was last answered."""
        return cls(initial={**options, "delimiter": DELIMITERS.get(options.get("delimiter", ""), "")})


class OpenSessionForm(ServiceForm):
    date = DayField(label="Day")
    setup = forms.ModelChoiceField(
        label="Capture setup",
        queryset=CaptureSetup.objects.filter(retired_at=None),
        to_field_name="uuid",
        required=False,
        empty_label="found from the files",
    )
