"""What is no alarm but must not be lost: flags that keep coming back, and sore muscles of today."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple
from uuid import UUID

from django.db.models import QuerySet
from django.urls import reverse

from athletes.models import CheckIn, Feeling, User
from athletes.worded import worded_once
from desk.selectors.addresses import address_of
from desk.selectors.need import FIRST_NAMES, NOTHING, Need, Needs, Person, several
from desk.selectors.needs_work import Sessions, flag_words
from desk.selectors.watched import Watched, WatchedAthlete

NOTHING_PRESCRIBED = "Recurring, nothing prescribed."
ANSWER = ("athlete__uuid", "athlete__given_name", "athlete__family_name", "feeling", "words")


class Answer(NamedTuple):
    """What an athlete said at a check-in."""

    uuid: UUID
    given_name: str
    family_name: str
    feeling: str
    words: str

    @property
    def name(self) -> str:
        return f"{self.given_name} {self.family_name}"


def recurring_needed(watched: Watched, sessions: Sessions) -> Needs:
    """Athletes with a flag in most of their last sessions and no work for it, in one line."""
    known = watched.recurring
    if not known:
        return NOTHING
    line = _one(known[0], watched, sessions) if len(known) == 1 else _many(known, sessions)
    return Needs((line,), len(known))


def _one(athlete: WatchedAthlete, watched: Watched, sessions: Sessions) -> Need:
    who = _person(athlete, sessions)
    return Need(
        "recurring",
        "Recurring: ",
        (who,),
        reason=NOTHING_PRESCRIBED,
        flags=tuple(flag_words(*flag) for flag in watched.recurring_flags(athlete)[:1]),
        step="Plan",
        url=address_of("plans:plan", athlete.uuid),
    )


def _many(athletes: list[WatchedAthlete], sessions: Sessions) -> Need:
    """Each name leads to the session, the step to all of them."""
    people = tuple(_person(row, sessions) for row in athletes[:FIRST_NAMES])
    more = max(0, len(athletes) - FIRST_NAMES)
    url = f"{reverse('desk:roster')}?sort=flags"
    return Need("recurring", "Recurring: ", people, more, reason=NOTHING_PRESCRIBED, step="Roster", url=url)


def _person(athlete: WatchedAthlete, sessions: Sessions) -> Person:
    return Person(athlete.name, address_of("metrics:session", sessions[athlete.pk]))


def sore_today(user: User, today: dt.date) -> Needs:
    """Whose last answer of today is *sore muscles*, whoever coaches them: a quiet line."""
    last: dict[UUID, Answer] = {}
    for answer in map(Answer._make, _answers(user, today)):  # the latest first
        last.setdefault(answer.uuid, answer)
    sore = [answer for answer in last.values() if answer.feeling == Feeling.SORE]
    if not sore:
        return NOTHING
    people, more = several(sore)
    words = list(dict.fromkeys(row.words for row in sore[:FIRST_NAMES] if row.words))
    reason = f"{', '.join(words)[:1].upper()}{', '.join(words)[1:]}." if words else "Said today at the check-in."
    url = people[0].url if len(sore) == 1 else f"{reverse('desk:today')}#here-title"
    step = "Record" if len(sore) == 1 else "Here now"
    return Needs((Need("sore", "Sore muscles: ", people, more, reason=reason, step=step, url=url),), len(sore))


@worded_once
def _answers(user: User, today: dt.date) -> QuerySet:
    return CheckIn.objects.visible_to(user).filter(date=today).values_list(*ANSWER)
