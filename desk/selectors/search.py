"""The search of the top bar: athletes by name or by an id of another system, and training groups."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, Prefetch, Q

from athletes.models import ExternalId, User
from athletes.models.people import Athlete, AthleteQuerySet
from athletes.policy import CARE
from desk.selectors.groups import groups_visible_to

MOST = 50


@dataclass(frozen=True, slots=True)
class FoundAthlete:
    """`known_as`: the id by which the search found them, when it was not the name."""

    uuid: UUID
    name: str
    groups: str
    known_as: str = ""


@dataclass(frozen=True, slots=True)
class FoundGroup:
    uuid: UUID
    name: str
    athletes: int


@dataclass(frozen=True, slots=True)
class Found:
    athletes: tuple[FoundAthlete, ...]
    groups: tuple[FoundGroup, ...]
    there_is_more: bool

    @property
    def only_address_of(self) -> UUID | None:
        """The one athlete found, when nothing else was."""
        return self.athletes[0].uuid if len(self.athletes) == 1 and not self.groups else None


def search(user: User, text: str) -> Found:
    """Finds only what the person may see; a visiting coach does not find by ids."""
    text = " ".join(text.split())
    if not text:
        return Found((), (), there_is_more=False)
    visible = Athlete.objects.visible_to(user)
    by_name = {athlete.pk: "" for athlete in visible.named(text)[: MOST + 1]}
    found = {**_by_id(user, visible, text), **by_name}
    groups = Prefetch("groups", groups_visible_to(user))
    rows = visible.filter(pk__in=list(found)).prefetch_related(groups)[:MOST]
    athletes = tuple(
        FoundAthlete(row.uuid, row.name, ", ".join(group.name for group in row.groups.all()), found[row.pk])
        for row in rows
    )
    return Found(athletes, _groups(user, visible, text), there_is_more=len(found) > MOST)


def _by_id(user: User, visible: AthleteQuerySet, text: str) -> dict[int, str]:
    if user.role not in CARE:
        return {}
    rows = ExternalId.objects.filter(athlete__in=visible, value__icontains=text)[: MOST + 1]
    return {row.athlete_id: row.value for row in rows}


def _groups(user: User, visible: AthleteQuerySet, text: str) -> tuple[FoundGroup, ...]:
    rows = groups_visible_to(user).filter(name__icontains=text)
    counted = rows.annotate(seen=Count("athletes", filter=Q(athletes__in=visible), distinct=True))[:MOST]
    return tuple(FoundGroup(row.uuid, row.name, row.seen) for row in counted)
