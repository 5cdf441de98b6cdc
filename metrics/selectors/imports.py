"""What the pages of one upload show: the preview as a whole, problems, and one line for the list of uploads."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Count, F, Q

from athletes.models import Athlete, User
from athletes.words import counted
from metrics.models import ImportDraft, ImportUnit
from metrics.selectors.import_units import PreviewUnit, preview_units
from metrics.selectors.recordings import RecordingPreview, recording_preview
from sessions.formats.decoding import ENCODINGS
from sessions.formats.delimiters import DECIMAL_MARKS, DELIMITERS
from sessions.models import Upload

PROBLEMS_SHOWN = 20
GRAVITY = {"error": 0, "warning": 1, "note": 2}


@dataclass(frozen=True, slots=True)
class Problems:
    """The problems of one upload; `listed` are those that the page shows, `count` is how many there were."""

    listed: tuple[Mapping[str, Any], ...]
    kept: int
    count: int

    @property
    def more(self) -> int:
        return self.kept - len(self.listed)


@dataclass(frozen=True, slots=True)
class SheetWords:
    """One sheet of the file in the preview: what became of it."""

    name: str
    fingerprint: str
    recipe_name: str
    left_out: bool
    readable: bool
    row_count: int


@dataclass(frozen=True, slots=True)
class Preview:
    """Which sessions the upload would make, and what stands before them."""

    sentence: str
    facts: tuple[tuple[str, str], ...]
    sheets: tuple[SheetWords, ...]
    units: tuple[PreviewUnit, ...]
    problems: Problems
    kept_out: int
    keeps_all: bool
    questions: int
    revision: int
    reads_text: bool
    acceptable: int
    recording: RecordingPreview | None = None

    @property
    def made(self) -> list[PreviewUnit]:
        return [one for one in self.units if one.unit.state == ImportUnit.State.ACCEPTED]

    @property
    def is_again(self) -> bool:
        """Whether sessions that the file has made would change."""
        return any(one.again for one in self.units)

    @property
    def open(self) -> list[PreviewUnit]:
        return [one for one in self.units if one.unit.state != ImportUnit.State.ACCEPTED]


def preview_of(draft: ImportDraft, user: User, *, all_problems: bool = False) -> Preview:
    units = preview_units(draft, user)
    waiting = [one for one in units if one.waits]
    questions = sum(len(one.blocks) for one in waiting)
    return Preview(
        sentence=_sentence(waiting, questions),
        facts=file_words(draft.file_facts),
        sheets=tuple(_sheet_words(sheet) for sheet in draft.layouts),
        units=tuple(units),
        problems=problems_of(draft, None if all_problems else PROBLEMS_SHOWN),
        kept_out=sum(one.kept_out for one in waiting),
        keeps_all=bool(draft.answers.get("accept_implausible")),
        questions=questions,
        revision=draft.revision,
        reads_text=draft.file_facts.get("kind") == "csv",
        acceptable=sum(one.can_be_accepted for one in waiting),
        recording=recording_preview(draft) if draft.is_motion else None,
    )


def _sentence(waiting: Iterable[PreviewUnit], questions: int) -> str:
    """ "2 sessions of 2 athletes, 24 throws, 9 metrics; 1 question." """
    units = list(waiting)
    people = {
        one.unit.athlete_id or (one.unit.athlete_reference.get("id"), one.unit.athlete_reference.get("name"))
        for one in units
    }
    metrics = {key for one in units for key in one.metric_keys}
    if not units:
        return "No session would come of this file as it stands."
    parts = (
        f"{counted(len(units), 'session')} of {counted(len(people), 'athlete')}",
        counted(sum(one.throw_count for one in units), "throw"),
        counted(len(metrics), "metric"),
    )
    asked = counted(questions, "question") if questions else "no question"
    return f"{', '.join(parts)}; {asked}."


def file_words(facts: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """How the file was read, in words."""
    if facts.get("kind") == ImportDraft.MOTION:
        return (("Read as", "motion capture (C3D)"),)
    if facts.get("kind") != "csv":
        return (("Read as", "workbook (XLSX)"),)
    return (
        ("Read as", "text"),
        ("Character set", ENCODINGS.get(facts.get("encoding", ""), facts.get("encoding", ""))),
        ("Divided by", DELIMITERS.get(facts.get("delimiter", ""), facts.get("delimiter", ""))),
        ("Decimal mark", DECIMAL_MARKS.get(facts.get("decimal_mark", ""), "")),
    )


def _sheet_words(sheet: Mapping[str, Any]) -> SheetWords:
    return SheetWords(
        name=sheet["sheet"],
        fingerprint=sheet["fingerprint"],
        recipe_name=sheet["recipe_name"],
        left_out=bool(sheet.get("left_out")),
        readable=sheet["readable"],
        row_count=sheet["row_count"],
    )


def problems_of(draft: ImportDraft, most: int | None) -> Problems:
    """The worst first; within one gravity in the order of the file."""
    ordered = sorted(draft.problems, key=lambda problem: GRAVITY.get(problem["severity"], 0))
    return Problems(tuple(ordered[:most]), len(ordered), int(draft.file_facts.get("problem_count", len(ordered))))


@dataclass(frozen=True, slots=True)
class UploadLine:
    """What the list of uploads adds to a row: the recipe, and what would come of it."""

    uuid: UUID
    words: str
    can_accept: bool
    revision: int


def upload_lines(user: User, uuids: Iterable[UUID]) -> list[UploadLine]:
    waiting = Q(units__state=ImportUnit.State.WAITING)
    drafts = (
        ImportDraft.objects.filter(upload__in=Upload.objects.visible_to(user).filter(uuid__in=list(uuids)))
        .annotate(
            waiting=Count("units", filter=waiting),
            people=Count("units__athlete", filter=waiting, distinct=True),
            unknown=Count("units", filter=waiting & Q(units__athlete=None)),
            first_recipe=F("layouts__0__recipe_name"),
        )
        .values_list("upload__uuid", "upload__state", "revision", "waiting", "people", "unknown", "first_recipe")
    )
    return [_line(*row) for row in drafts]


def _line(
    uuid: UUID, state: str, revision: int, waiting: int, people: int, unknown: int, recipe: str | None
) -> UploadLine:
    parts = [recipe] if recipe else []
    if waiting and state in (Upload.State.READY, Upload.State.NEEDS_ANSWER):
        athletes = [counted(people, "athlete")] if people else []
        nameless = [f"{unknown} not matched to an athlete"] if unknown else []
        parts.append(f"{counted(waiting, 'session')}, {', '.join([*athletes, *nameless])}")
    return UploadLine(uuid, " · ".join(parts), state == Upload.State.READY and waiting > 0, revision)


def athlete_options(user: User) -> list[tuple[str, str]]:
    """(uuid, “Family, Given, born …”) of everybody whom the reader may choose."""
    rows = Athlete.objects.visible_to(user).values_list("uuid", "family_name", "given_name", "birth_date")
    return [(str(uuid), f"{family}, {given}, born {born:%-d %b %Y}") for uuid, family, given, born in rows]
