"""Rules for passwords beside Django's own: not so long that hashing is an attack, and not common at heart."""

from __future__ import annotations

import string
from typing import Any

from django.contrib.auth.password_validation import CommonPasswordValidator
from django.core.exceptions import ValidationError

LONGEST = 128
SHORTEST_HEART = 4  # letters; below that, digits and marks are the password


class LongestPassword:
    def validate(self, password: str, user: Any = None) -> None:
        if len(password) > LONGEST:
            raise ValidationError(f"This password has {len(password)} characters; {LONGEST} is the most.", "too_long")

    def get_help_text(self) -> str:
        return f"At most {LONGEST} characters, of any kind."


class CommonAtHeart(CommonPasswordValidator):
    """A common password with digits and marks around it, or said twice: long enough, and still the first to be tried.

    Django's list has 19,640 entries, of which only 190 are as long as ours must be; this holds the short ones too.
    """

    def validate(self, password: str, user: Any = None) -> None:
        heart = password.lower().strip(string.digits + string.punctuation + string.whitespace)
        if len(heart) >= SHORTEST_HEART and (heart in self.passwords or _said_once(heart) in self.passwords):
            raise ValidationError("This is a common password with something around it.", "common_at_heart")

    def get_help_text(self) -> str:
        return "Not a common password with digits or marks around it."


def _said_once(text: str) -> str:
    """The part that the text repeats; the text itself when it repeats nothing."""
    return text[: (text + text).find(text, 1)]
