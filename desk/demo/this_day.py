"""What the demonstration's coach did on the day itself, and where the groups are in their year."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from athletes.models import Athlete, TrainingGroup, User
from athletes.services.check_ins import check_in
from athletes.services.groups import set_season_phase
from desk.demo.cast import Cast


def begin_the_day(cast: Cast, athletes: Sequence[Athlete], today: dt.date) -> None:
    """Check-ins of those whose story says how they feel, at the facility; season phases of the groups."""
    for athlete, story in zip(athletes, cast.athletes, strict=True):
        if story.feels:
            feeling, words = story.feels
            coach = User.objects.get(username=story.coach)
            check_in(athlete=athlete, feeling=feeling, words=words, by=coach, is_here=True)
    _set_seasons(cast, today)


def _set_seasons(cast: Cast, today: dt.date) -> None:
    coach = User.objects.get(username="coach")
    for entry in cast.groups:
        group = TrainingGroup.objects.get(name=entry["name"])
        for phase, since, until in entry.get("season", ()):
            first, last = today + dt.timedelta(days=since), today + dt.timedelta(days=until)
            set_season_phase(group=group, phase=phase, valid_from=first, until=last, by=coach)
