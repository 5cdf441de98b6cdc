"""Two records beside each other before they become one: what each holds, what differs, what cannot go along."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.db import IntegrityError, models, transaction

from athletes.models import Athlete
from athletes.services.merging import kind_of, relations, rows_of, told_of, why_not

SHOWN_ELSEWHERE = ("guardianships", "external ids")


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the comparison."""

    name: str
    kept: str
    merged: str
    differs: bool


@dataclass(frozen=True, slots=True)
class MergePreview:
    """`wrong`: why it cannot be done; `stays`: kind and words of what would stay with the record put aside."""

    kept: Athlete
    merged: Athlete
    rows: tuple[Row, ...]
    wrong: tuple[str, ...]
    stays: tuple[tuple[str, tuple[str, ...]], ...]
    consent_ends: bool


def merge_preview(kept: Athlete, merged: Athlete) -> MergePreview:
    """As things stand; merging looks again."""
    both = {kept.consent_withdrawn_on, merged.consent_withdrawn_on}
    return MergePreview(
        kept=kept,
        merged=merged,
        rows=tuple(_rows(kept, merged)),
        wrong=tuple(why_not(kept, merged)),
        stays=tuple(_stays(kept, merged)),
        consent_ends=both != {None},
    )


def _rows(kept: Athlete, merged: Athlete) -> Iterator[Row]:
    for (name, mine), (_, theirs) in zip(_details(kept), _details(merged), strict=True):
        yield Row(name, mine or "none", theirs or "none", differs=bool(mine and theirs and mine != theirs))
    for (word, of_kept), (_, of_merged) in zip(_held(kept), _held(merged), strict=True):
        if of_kept or of_merged:
            yield Row(word.capitalize(), str(of_kept), str(of_merged), differs=False)


def _details(athlete: Athlete) -> list[tuple[str, str]]:
    groups = ", ".join(athlete.groups.values_list("name", flat=True))
    guardians = ", ".join(str(tie.guardian) for tie in athlete.guardianships.select_related("guardian"))
    return [
        ("Name", athlete.name),
        ("Born", f"{athlete.birth_date:%-d %B %Y}"),
        ("Throws", athlete.get_throws_display()),
        ("Role", athlete.playing_role),
        ("Coach", str(athlete.responsible_coach or "")),
        ("Account", str(athlete.account or "")),
        ("Groups", groups),
        ("Guardians", guardians),
        ("Ids", ", ".join(athlete.external_ids.order_by("value").values_list("value", flat=True))),
    ]


def _held(athlete: Athlete) -> Iterator[tuple[str, int]]:
    """Sessions and throws first, then the rows of this room by kind."""
    yield from told_of(athlete)
    for field in _own_relations():
        yield kind_of(field), rows_of(athlete, field).count()


def _own_relations() -> Iterator[models.ForeignKey]:
    for field in relations():
        if field.model._meta.app_label == Athlete._meta.app_label and not (
            field.model._meta.auto_created or kind_of(field) in SHOWN_ELSEWHERE
        ):
            yield field


def _stays(kept: Athlete, merged: Athlete) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Tried in a transaction that is given up, so that what is listed is what the database says."""
    for field in relations():
        if field.model._meta.app_label != Athlete._meta.app_label or field.model._meta.auto_created:
            continue  # the rooms of those rows make place for them; in a group both are, nothing is left behind
        found = tuple(str(row) for row in rows_of(merged, field) if _collides(field, row, kept))
        if found:
            yield kind_of(field), found


def _collides(field: models.ForeignKey, row: models.Model, kept: Athlete) -> bool:
    try:
        with transaction.atomic():
            field.model._base_manager.filter(pk=row.pk).update(**{field.name: kept})
            transaction.set_rollback(True)
    except IntegrityError:
        return True
    return False
