"""The preview: which sessions an upload would make, and which questions stand before each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Max

from athletes.matching import AthleteIndex
from athletes.models import Athlete, Facility
from metrics.importing.conditions import Conditions
from metrics.importing.recipes import Recipe
from metrics.importing.throws import AthleteReference, ImportedGroup, ImportedTable, ImportedThrow
from metrics.models import ImportDraft, ImportRecipe, ImportUnit, UnitPayload
from metrics.services.imports.blocks import blocks_of
from metrics.services.imports.payloads import Payload, PayloadThrow
from metrics.services.imports.targets import default_targets
from sessions.bulk_rows import insert_rows
from sessions.claims import Claim
from sessions.formats import Layout
from sessions.formats.cells import column_letter
from sessions.formats.problems import Problem
from sessions.models import FilterKnowledge, Upload


@dataclass(frozen=True, slots=True)
class NewUnit:
    """One group of the file, ready to become an import unit; `athlete` where something else than the file says who."""

    sheet: str
    reference: AthleteReference
    group: ImportedGroup
    method: str
    payload: Payload
    problems: list[dict[str, Any]]
    athlete: Athlete | None = None


def new_units(found: ImportedTable, layout: Layout, row: ImportRecipe) -> list[NewUnit]:
    """The file's groups with the problems of their own throws."""
    recipe = Recipe.from_json(row.recipe)
    return [
        NewUnit(
            sheet=layout.sheet,
            reference=group.athlete,
            group=group,
            method=recipe.method,
            payload=_payload(group, recipe, row, layout.turned),
            problems=_problems_of(group, found.problems, layout.turned),
        )
        for group in found.groups
    ]


def _problems_of(group: ImportedGroup, problems: Iterable[Problem], turned: bool) -> list[dict[str, Any]]:
    """What was found at the group's throws: in their rows, or in their columns where the file has those."""
    rows = {row for throw in group.throws for row in throw.row_numbers}
    columns = {column_letter(row - 1) for row in rows} if turned else set()
    return [one.to_json() for one in problems if (one.column in columns if turned else one.row in rows)]


def _payload(group: ImportedGroup, recipe: Recipe, row: ImportRecipe, turned: bool) -> Payload:
    known = FilterKnowledge.KNOWN if recipe.filter_hz else FilterKnowledge.NONE
    return Payload(
        throws=[_payload_throw(throw) for throw in group.throws],
        setup=row.setup,
        landing=recipe.landing,
        filter_knowledge=known if recipe.filter_known else FilterKnowledge.UNKNOWN,
        filter_hz=recipe.filter_hz,
        frame_rate_hz=row.frame_rate_hz,
        definitions=dict(recipe.definitions),
        turned=turned,
    )


def _payload_throw(throw: ImportedThrow) -> PayloadThrow:
    return PayloadThrow(
        number=throw.number,
        rows=list(throw.row_numbers),
        conditions=throw_fields(throw.conditions),
        ball_speed_m_s=throw.ball_speed,
        values=dict(throw.values),
        excluded_reason=throw.excluded,
        intent_from_file=throw.intent_from_file,
    )


def throw_fields(conditions: Conditions) -> dict[str, Any]:
    """Conditions as the fields of a throw; what the file leaves open is left to the model's defaults."""
    fields: dict[str, Any] = {
        name: getattr(conditions, name)
        for name in ("pitch_type", "intent", "surface", "ball")
        if getattr(conditions, name)
    }
    if conditions.intent_percent is not None:
        fields["intent_percent"] = min(100, max(10, round(conditions.intent_percent)))
    if conditions.ball_mass is not None:
        fields["ball_mass_g"] = round(conditions.ball_mass * 1000, 1)
    return fields


def replace_units(draft: ImportDraft, found: Iterable[NewUnit]) -> None:
    """New units in place of those that still wait; what a person answered before stays where the file is the same.

    A part that has become a session waits again only when the file now says something else of it.
    """
    open_units = draft.units.exclude(state=ImportUnit.State.ACCEPTED)
    answered = {_same_unit(unit.athlete_reference, unit.sheet): unit for unit in open_units.select_related("athlete")}
    accepted = draft.units.filter(state=ImportUnit.State.ACCEPTED).select_related("session", "athlete", "held")
    done = {_same_unit(unit.athlete_reference, unit.sheet): unit for unit in accepted}
    open_units.delete()
    start = draft.units.aggregate(last=Max("ordinal"))["last"] or 0
    units: list[ImportUnit] = []
    people = AthleteIndex()
    for one in found:
        reference = reference_json(one.reference, one.group)
        key = _same_unit(reference, one.sheet)
        before = done.get(key)
        if before is None:
            units.append(_unit(draft, one, reference, start + len(units) + 1, answered.get(key), people))
        elif before.session and before.payload != one.payload.to_json():
            units.append(_again(draft, one, start + len(units) + 1, before))
    unsaid = [unit for unit in units if not unit.target]
    for unit, target in zip(unsaid, default_targets(unsaid), strict=True):
        unit.target = target
    ImportUnit.objects.bulk_create(units)
    insert_rows(UnitPayload, ({"unit_id": unit.pk, "content": unit.payload} for unit in units))


def _same_unit(reference: Mapping[str, Any], sheet: str) -> tuple[str, ...]:
    return (*(reference.get(part, "") for part in ("id", "name", "session", "date")), sheet)


def _again(draft: ImportDraft, one: NewUnit, ordinal: int, before: ImportUnit) -> ImportUnit:
    """What the file now says of a session that it has made."""
    unit = ImportUnit(
        draft=draft,
        ordinal=ordinal,
        sheet=one.sheet,
        athlete_reference=before.athlete_reference,
        athlete=before.athlete,
        date=before.date,
        method=before.method,
        has_throws=bool(one.payload.throws),
        problems=one.problems,
        target=ImportUnit.Target.REPLACE,
        session=before.session,
    )
    unit.payload = one.payload.to_json()
    return unit


def reference_json(reference: AthleteReference, group: ImportedGroup) -> dict[str, Any]:
    """How the file names the athlete and the session, as kept with the unit."""
    return {
        "id": reference.external_id,
        "name": reference.name,
        "birth_date": reference.birth_date.isoformat() if reference.birth_date else "",
        "session": group.session_label,
        "date": group.date.isoformat() if group.date else "",
        "words": " · ".join(part for part in (reference.name, reference.external_id) if part),
    }


def _unit(
    draft: ImportDraft,
    one: NewUnit,
    reference: dict[str, Any],
    ordinal: int,
    before: ImportUnit | None,
    people: AthleteIndex,
) -> ImportUnit:
    """The unit of one group; where nobody answered before, its target is still unsaid."""
    match = people.match(
        {"id": one.reference.external_id, "name": one.reference.name, "birth_date": one.reference.birth_date}
    )
    unit = ImportUnit(
        draft=draft,
        ordinal=ordinal,
        sheet=one.sheet,
        athlete_reference={
            **reference,
            "candidates": [str(athlete.uuid) for athlete in match.candidates],
            "why": match.sentence,
        },
        athlete=one.athlete or match.athlete or (before.athlete if before else None),
        date=one.group.date or (before.date if before else None),
        method=one.method,
        problems=one.problems,
        has_throws=bool(one.payload.throws),
        state=before.state if before else ImportUnit.State.WAITING,
        target=before.target if before else "",
    )
    unit.payload = one.payload.to_json()
    if before:
        unit.uuid = before.uuid
    return unit


def next_state(draft: ImportDraft) -> str:
    """What the upload waits for: columns to match, questions to answer, or one tap."""
    if any(sheet["readable"] and not sheet["recipe"] and not sheet.get("left_out") for sheet in draft.layouts):
        return Upload.State.NEEDS_MATCH
    waiting = list(draft.units.filter(state=ImportUnit.State.WAITING).with_people())
    if not waiting:
        done = draft.units.filter(state=ImportUnit.State.ACCEPTED).exists()
        return Upload.State.ACCEPTED if done else Upload.State.NEEDS_ANSWER
    facility = Facility.current()
    return Upload.State.NEEDS_ANSWER if any(blocks_of(unit, facility) for unit in waiting) else Upload.State.READY


def settle_state(draft: ImportDraft, claim: Claim | None = None) -> None:
    """Writes what the upload now waits for: by the worker through its claim, else only while nobody works on it."""
    state = next_state(draft)
    if claim:
        claim.finish(state)
        return
    Upload.objects.filter(pk=draft.upload_id, claim=None).exclude(state__in=Upload.WORKING).update(state=state)
