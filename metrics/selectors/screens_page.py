"""What stands around the form of screens: the draft that waits, pain, what was saved, and who is next at a station."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from athletes.facts import Stopped, has_consent, stopped_on
from athletes.models import Athlete, Facility, User
from metrics.catalogue import load_catalogue
from metrics.catalogue.screen_form import load_screen_form
from metrics.models import Reading, ScreenDraft, ScreenEntry
from metrics.selectors.screens import BlockGroup, FormNeeds, groups_of, last_values
from metrics.services.screens.saving import refusal_of
from metrics.services.screens.typed import PAIN, values_in
from sessions.models import Method

PAIN_SCREENS = ("elbow_valgus_pain_throwing", "throwing_pain")
"""Screens of which any answer but 0 is pain."""


@dataclass(frozen=True, slots=True)
class WaitingDraft:
    uuid: UUID
    at: dt.datetime
    values: int


@dataclass(frozen=True, slots=True)
class EntryPage:
    """The form of one athlete. `groups` stand open, `rest` is one tap away; `refusal`: why there is no form.

    `arm_asked`: this athlete throws with both, and the arm was not said yet.
    """

    key: str
    athlete: Athlete
    arm: str
    throws_both: bool
    arm_asked: bool
    system: str
    date: str
    today: dt.date
    own: bool
    rounds: int
    groups: tuple[BlockGroup, ...]
    rest: tuple[BlockGroup, ...]
    stopped: Stopped | None
    refusal: str
    waiting: WaitingDraft | None
    not_entered: str


@dataclass(frozen=True, slots=True)
class Asked:
    """What a request says of the form: what to show, and what was typed."""

    key: str
    screens: Sequence[str]
    sent: Mapping[str, str]
    errors: Mapping[str, str]
    arm: str
    system: str
    rounds: int


def entry_page(athlete: Athlete, reader: User, today: dt.date, asked: Asked) -> EntryPage:
    both = athlete.throws == "both"
    arm = (asked.arm or asked.sent.get("arm", "")) if both else athlete.throws
    system = asked.sent.get("units") or asked.system
    needs = FormNeeds(arm, system, last_values(athlete, reader), asked.sent, asked.errors, asked.rounds)
    groups, rest = groups_of(asked.screens, needs)
    return EntryPage(
        key=asked.key,
        athlete=athlete,
        arm=arm,
        throws_both=both,
        arm_asked=both and arm not in ("left", "right"),
        system=system,
        date=asked.sent.get("date", "") or str(today),
        today=today,
        own=bool(asked.sent.get("own")),
        rounds=asked.rounds,
        groups=groups,
        rest=rest,
        stopped=stopped_on(athlete, today),
        refusal=refusal_of(athlete, today),
        waiting=_waiting(athlete, reader, asked.key),
        not_entered=_not_entered(asked.screens),
    )


def _waiting(athlete: Athlete, reader: User, key: str) -> WaitingDraft | None:
    """The newest draft of this person that is not the one on the page."""
    drafts = ScreenDraft.objects.visible_to(reader).filter(athlete=athlete)
    found = next((one for one in drafts if str(one.uuid) != key), None)
    return WaitingDraft(found.uuid, found.updated_at, values_in(found.payload)) if found else None


def _not_entered(asked: Sequence[str]) -> str:
    """A sentence when something was asked for that nobody types."""
    known = load_catalogue().metrics
    left = [known[name].name for name in asked if name in known and not load_screen_form().asked([name])]
    return f"{', '.join(left)}: not entered here, it follows from what is known of the athlete." if left else ""


@dataclass(frozen=True, slots=True)
class SavedPage:
    """What one act of saving stored. `pain`: the screens in which pain was said, by name."""

    entry: ScreenEntry
    values: int
    pain: tuple[str, ...]


def saved_page(entry: ScreenEntry) -> SavedPage:
    catalogue = load_catalogue()
    rows = [(catalogue.metric(key.partition("@")[0]), now) for _, key, _, now in entry.placed]
    pain = [
        metric.name
        for metric, now in rows
        if now.get("reason") == PAIN or (metric.key in PAIN_SCREENS and now.get("value", 0) > 0)
    ]
    return SavedPage(entry, sum("value" in now for _, now in rows), tuple(dict.fromkeys(pain)))


@dataclass(frozen=True, slots=True)
class StationPerson:
    """`state`: done, here, no_consent or waiting."""

    uuid: UUID
    name: str
    state: str
    is_stopped: bool


@dataclass(frozen=True, slots=True)
class Station:
    """One screen or some, many athletes, in the order of their names."""

    people: tuple[StationPerson, ...]
    at: Athlete | None
    following: UUID | None
    done: int

    @property
    def count(self) -> int:
        return len(self.people)


def station_of(
    athletes: Sequence[Athlete], screens: Collection[str], at: UUID | None, today: dt.date, facility: Facility
) -> Station:
    """`athletes` come with their facts. Without `at` the first who is not done; after the last it begins anew."""
    done = _measured_on(athletes, {key for one in load_screen_form().asked(screens) for key in one.keys}, today)
    barred = {one.pk for one in athletes if not has_consent(one, today, facility=facility)}
    waiting = [one for one in athletes if one.pk not in done and one.pk not in barred]
    here = next((one for one in athletes if one.uuid == at), None) or next(iter(waiting), None)
    return Station(
        people=tuple(
            StationPerson(one.uuid, one.name, _state(one, here, done, barred), stopped_on(one, today) is not None)
            for one in athletes
        ),
        at=here,
        following=_following(athletes, waiting, here),
        done=len(done),
    )


def _state(one: Athlete, here: Athlete | None, done: Collection[int], barred: Collection[int]) -> str:
    if here is not None and one.pk == here.pk:
        return "here"
    if one.pk in done:
        return "done"
    return "no_consent" if one.pk in barred else "waiting"


def _following(athletes: Sequence[Athlete], waiting: Sequence[Athlete], here: Athlete | None) -> UUID | None:
    """The next who waits after this one, then those before."""
    if here is None:
        return None
    order = list(athletes)
    place = order.index(here)
    wait = {one.pk for one in waiting}
    turn = [*order[place + 1 :], *order[:place]]
    return next((one.uuid for one in turn if one.pk in wait), None)


def _measured_on(athletes: Sequence[Athlete], keys: Collection[str], day: dt.date) -> set[int]:
    """Athletes of whom any of these screens has a value or a reason on the day."""
    rows = Reading.objects.filter(
        throw__session__athlete__in=athletes,
        throw__session__date=day,
        throw__session__method=Method.HANDS_ON,
        throw__session__withdrawn_at=None,
        throw__withdrawn_at=None,
    ).values_list("throw__session__athlete_id", "values")
    return {pk for pk, values in rows if any(key.partition("@")[0] in keys for key in values)}
