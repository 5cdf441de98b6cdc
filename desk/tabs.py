"""The pages of one athlete, for whoever may open them."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from athletes.access import Action, role_may
from athletes.models import Athlete, User


@dataclass(frozen=True, slots=True)
class Tab:
    label: str
    url: str
    current: bool


def athlete_tabs(athlete: Athlete, user: User, current: str) -> tuple[Tab, ...]:
    """`current` is the label of the page that is open."""
    record = reverse("desk:record", args=[athlete.uuid])
    pages = [("Record", record), ("Sessions", f"{record}?kind=session")]
    if role_may(user, Action.SEE_OWN_PAGE):
        pages.append(("Progress page", reverse("desk:mine", args=[athlete.uuid])))
    return tuple(Tab(label, url, label == current) for label, url in pages)
