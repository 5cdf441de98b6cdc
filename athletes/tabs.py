"""The pages of one athlete, for whoever may open them: the row of tabs that stands on each of them.

The pages are of several rooms; each is named by its address, and one whose room is not there is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse

from athletes.models import Athlete, User
from athletes.policy import Action, may_read_measured, role_may

RECORD, SESSIONS, SCREENS, TRENDS, COMPARE = "Record", "Sessions", "Screens", "Trends", "Compare"
PLAN, OWN_PAGE = "Plan", "Progress page"


@dataclass(frozen=True, slots=True)
class Tab:
    label: str
    url: str
    current: bool


def athlete_tabs(athlete: Athlete, user: User, current: str) -> tuple[Tab, ...]:
    """`current` is the label of the page that is open. Screens are typed from the record and have a tab while open."""
    pages = [(RECORD, "desk:record", ""), (SESSIONS, "desk:record", "?kind=session")]
    if current == SCREENS:
        pages.append((SCREENS, "metrics:screens", ""))
    if may_read_measured(user, athlete):
        pages += [(TRENDS, "metrics:trends", ""), (COMPARE, "metrics:compare", "")]
        if role_may(user, Action.SEE_PLAN):
            pages.append((PLAN, "plans:plan", ""))
    if role_may(user, Action.SEE_OWN_PAGE):
        pages.append((OWN_PAGE, "desk:mine", ""))
    found = ((label, _address(name, athlete), asked) for label, name, asked in pages)
    return tuple(Tab(label, url + asked, label == current) for label, url, asked in found if url)


def _address(name: str, athlete: Athlete) -> str:
    try:
        return reverse(name, args=[athlete.uuid])
    except NoReverseMatch:
        return ""
