"""The form of a picture or video."""

from __future__ import annotations

from django import forms

from athletes.forms import ServiceForm

TYPES = "image/jpeg,image/png,image/webp,video/mp4,video/webm"


class MediaForm(ServiceForm):
    file = forms.FileField(
        label="Picture or video",
        allow_empty_file=True,
        max_length=None,
        help_text="A JPEG, PNG or WebP up to 15 MB, or an MP4 or WebM up to 50 MB. Where it was taken is not kept.",
        widget=forms.FileInput(attrs={"accept": TYPES}),
    )
    told = forms.CharField(
        max_length=300,
        label="What it shows",
        help_text="In words, for whoever cannot see it: the position, and what moves.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
