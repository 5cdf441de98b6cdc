"""Two records of one person made one, and apart again.

Every row that points at an athlete goes along, whichever room it is of; what a unique constraint keeps from going
stays with the record that is put aside, and is listed. Higher rooms say what else must happen (`register_follower`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

from athletes.models import Athlete, ChangeLog, Consent, Throws, User
from athletes.services.change_log import record_change
from athletes.services.consent import note_standing
from athletes.services.facts_revision import raise_facts_revision

MERGED, TOOK_OVER, APART = "athlete.merged", "athlete.took_over", "athlete.apart_again"
FILLED = ("sex", "playing_role", "responsible_coach_id")
"""Empty on the record that stays, they are taken from the other."""

Rows = dict[str, list[int]]


@dataclass(frozen=True, slots=True)
class Follower:
    """What a higher room adds. `before` makes room before rows move, and gives what `before_undo` needs as JSON;
    `after` follows once they have moved, either way; `tell` counts what the preview shows of an athlete.
    """

    before: Callable[[Athlete, Athlete], Any] = lambda kept, merged: None
    before_undo: Callable[[Any], None] = lambda noted: None
    after: Callable[[Athlete], None] = lambda athlete: None
    tell: Callable[[Athlete], list[tuple[str, int]]] = lambda athlete: []


_followers: dict[str, Follower] = {}


def register_follower(room: str, follower: Follower) -> None:
    """Called from a room's AppConfig.ready()."""
    _followers[room] = follower


def told_of(athlete: Athlete) -> list[tuple[str, int]]:
    """What higher rooms hold of the athlete: a word and how many."""
    return [line for follower in _followers.values() for line in follower.tell(athlete)]


def why_not(kept: Athlete, merged: Athlete) -> list[str]:
    """Sentences that stand against merging, each with what to do."""
    found = []
    if kept.pk == merged.pk:
        found.append("This is one record. Choose another athlete.")
    if kept.withdrawn_at or merged.withdrawn_at:
        found.append("One of the two records is withdrawn. Bring it back first.")
    if kept.account_id and merged.account_id and kept.account_id != merged.account_id:
        found.append(
            f"Both have an account of their own: {kept.account} and {merged.account}. An admin takes the account "
            "that is not used from its record first."
        )
    if merged.throws != kept.throws and kept.throws != Throws.BOTH:
        found.append(
            f"One throws with the {kept.throws}, the other with the {merged.throws}. Correct it under Details first; "
            "choose both where one person throws with either arm."
        )
    return found


@transaction.atomic
def merge_athletes(*, kept: Athlete, merged: Athlete, by: User) -> ChangeLog:
    """All of `merged` becomes `kept`'s, and `merged` is withdrawn; gives the entry that undoes it.

    `entry.after["stays"]` lists what could not go along. Raises ValidationError with `why_not`.
    """
    kept, merged = _locked(kept, merged)
    if sentences := why_not(kept, merged):
        raise ValidationError(sentences)
    before: dict[str, Any] = {"kept": _fields(kept), "merged": _fields(merged)}
    noted = {room: follower.before(kept, merged) for room, follower in _followers.items()}
    moved, stays = _move_rows(merged, kept)
    taken_back = _stricter_consent(kept, merged, by)
    _take_over_fields(kept, merged)
    merged.merged_into = kept
    merged.mark_withdrawn(by, f"The same person as {kept.uuid}.")
    merged.save()
    kept.save()
    raise_facts_revision(kept)
    for follower in _followers.values():
        follower.after(kept)
    before |= {"rows": moved, "rooms": noted, "consents": taken_back}
    after = {"kept": str(kept.uuid), "merged": str(merged.uuid), "stays": stays}
    record_change(by=by, action=TOOK_OVER, row=kept, athlete_uuid=kept.uuid, after=after)
    return record_change(by=by, action=MERGED, row=merged, athlete_uuid=merged.uuid, before=before, after=after)


@transaction.atomic
def part_again(*, entry: ChangeLog, by: User) -> tuple[Athlete, Athlete]:
    """Undoes one merging; gives (kept, merged). What came to `kept` since stays there.

    Raises ValidationError when one of the two was withdrawn or merged again since.
    """
    rows = {str(row.uuid): row for row in Athlete.everything.filter(uuid__in=[entry.after["kept"], entry.object_uuid])}
    kept, merged = _locked(rows[entry.after["kept"]], rows[str(entry.object_uuid)])
    if merged.merged_into_id != kept.pk or kept.withdrawn_at is not None:
        raise ValidationError("The record that stayed was withdrawn or merged again since. Undo that first.")
    _put_back(entry.before["rows"], kept, merged)
    for room, noted in entry.before["rooms"].items():
        if room in _followers:
            _followers[room].before_undo(noted)
    Consent.objects.filter(pk__in=entry.before["consents"]).update(withdrawn_on=None, withdrawn_by=None)
    # The account has to leave one record before the other takes it.
    for one, name in ((kept, "kept"), (merged, "merged")):
        for field, value in entry.before[name].items():
            setattr(one, field, value)
        one.save()
    merged.merged_into = None
    merged.clear_withdrawn()
    merged.save()
    for one in (kept, merged):
        note_standing(one)
        raise_facts_revision(one)
        record_change(by=by, action=APART, row=one, athlete_uuid=one.uuid, before=entry.after)
        for follower in _followers.values():
            follower.after(one)
    return kept, merged


def _locked(kept: Athlete, merged: Athlete) -> tuple[Athlete, Athlete]:
    """Both as they stand, locked in one order."""
    rows = Athlete.everything.select_for_update().filter(pk__in=[kept.pk, merged.pk]).order_by("pk")
    found = {row.pk: row for row in rows}
    return found[kept.pk], found[merged.pk]


def _fields(athlete: Athlete) -> dict[str, Any]:
    return {name: getattr(athlete, name) for name in (*FILLED, "account_id")}


def _take_over_fields(kept: Athlete, merged: Athlete) -> None:
    for name in FILLED:
        if not getattr(kept, name):
            setattr(kept, name, getattr(merged, name))
    kept.account_id = kept.account_id or merged.account_id
    if merged.account_id:
        Athlete.everything.filter(pk=merged.pk).update(account=None)
        merged.account_id = None


def _stricter_consent(kept: Athlete, merged: Athlete, by: User) -> list[int]:
    """Where one of the two had taken consent back, nothing of the person is processed until it is given again.

    Gives the consents that this ends.
    """
    ended = max((one.consent_withdrawn_on for one in (kept, merged) if one.consent_withdrawn_on), default=None)
    if ended is None:
        return []
    standing = Consent.objects.filter(athlete=kept, withdrawn_on=None)
    keys = list(standing.values_list("pk", flat=True))
    Consent.objects.filter(pk__in=keys).update(withdrawn_on=ended, withdrawn_by=by)
    kept.consent_withdrawn_on = ended
    return keys


# ---- rows of every room -------------------------------------------------------------------------------------


def relations() -> Iterator[models.ForeignKey]:
    """Every foreign key to an athlete, also hidden ones and those of many-to-many tables; none of athletes among
    themselves, nor of rows that there is one of for each athlete: those are computed or belong to the record.
    """
    for relation in Athlete._meta.get_fields(include_hidden=True):
        if isinstance(relation, models.ManyToOneRel) and not isinstance(relation, models.OneToOneRel):
            field = relation.field
            if relation.related_model is not Athlete and isinstance(field, models.ForeignKey):
                yield field


def _key(field: models.ForeignKey) -> str:
    return f"{field.model._meta.label_lower}.{field.name}"


def rows_of(athlete: Athlete, field: models.ForeignKey) -> models.QuerySet:
    """Withdrawn ones too."""
    return field.model._base_manager.filter(**{field.name: athlete.pk}).order_by("pk")


def _move_rows(merged: Athlete, kept: Athlete) -> tuple[Rows, dict[str, list[str]]]:
    """What went, by relation; what stays, in words, by kind."""
    moved: Rows = {}
    stays: dict[str, list[str]] = {}
    for field in relations():
        for row in rows_of(merged, field):
            try:
                with transaction.atomic():
                    field.model._base_manager.filter(pk=row.pk).update(**{field.name: kept})
            except IntegrityError:
                if field.model._meta.auto_created:
                    continue  # both are in that group: nothing is left behind
                stays.setdefault(kind_of(field), []).append(str(row))
            else:
                moved.setdefault(_key(field), []).append(row.pk)
    return moved, stays


def _put_back(moved: Mapping[str, list[int]], kept: Athlete, merged: Athlete) -> None:
    """Only what is still `kept`'s: a row that somebody gave to a third athlete since is theirs."""
    for field in relations():
        keys = moved.get(_key(field), [])
        rows_of(kept, field).filter(pk__in=keys).update(**{field.name: merged})


def kind_of(field: models.ForeignKey) -> str:
    """The kind of row in the plural, as pages name it."""
    return str(field.model._meta.verbose_name_plural)
