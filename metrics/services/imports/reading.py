"""The read stage: an original becomes a draft: sheets with their match, and the sessions that it would make."""

from __future__ import annotations

import logging
from dataclasses import replace
from typing import Any

from django.conf import settings
from django.db import transaction

from metrics.catalogue import load_catalogue
from metrics.importing.readings import ACCEPT_ALL
from metrics.importing.recipes import Recipe
from metrics.importing.rows import apply_recipe
from metrics.importing.throws import ImportedTable
from metrics.models import ImportDraft, ImportRecipe
from metrics.services.imports.accepting import accept
from metrics.services.imports.preview import NewUnit, new_units, replace_units, settle_state
from metrics.services.imports.sheets import known_targets, recipes_in_use, sheet_of
from metrics.services.motion.reading import build_motion_draft, is_recording, path_of
from sessions.claims import Claim, ClaimLost, claim_upload
from sessions.collector import no_collection
from sessions.formats import Layout, UnreadableFile
from sessions.formats.reader import Reader
from sessions.formats.results import ReadResult
from sessions.models import CaptureSession, Upload
from sessions.pipeline import stage

log = logging.getLogger(__name__)

MOST_PROBLEMS = 500
"""As many problems of one file are kept; the preview says how many there were."""

reader = Reader(wall_seconds=settings.READER_SECONDS)


@stage("read")
@no_collection()
def read_upload(upload_id: int) -> None:
    """Reads the original in the limited child and leaves a draft that waits for a person."""
    waiting, working = (Upload.State.RECEIVED,), Upload.State.READING
    claim = claim_upload(upload_id, waiting=waiting, working=working, stage="reading the file", step=1, steps=3)
    if claim is None:
        return
    upload = Upload.objects.select_related("original", "uploaded_by", "for_session__athlete").get(pk=upload_id)
    try:
        if is_recording(path_of(upload), upload.filename):
            build_motion_draft(upload, claim)
            accept_into_open_session(upload)
        else:
            result = read_original(upload)
            claim.progress("matching columns", 2, 3)
            build_draft(upload, result, claim)
    except UnreadableFile as error:
        claim.finish(Upload.State.REFUSED, error_code=error.code, error_sentence=error.sentence)
    except ClaimLost:
        log.info("Another worker has taken over upload %s.", upload_id)


def accept_into_open_session(upload: Upload) -> None:
    """A file that was sent to a session which is still open, and that asks nothing, is taken as it comes."""
    by, opened = upload.uploaded_by, CaptureSession.objects.filter(awaited_uploads=upload)
    is_clean = Upload.objects.filter(pk=upload.pk, state=Upload.State.READY).exists()
    if by and is_clean and opened.filter(state=CaptureSession.State.OPEN).exists():
        accept(upload=upload, by=by)


def read_original(upload: Upload) -> ReadResult:
    """The layouts of the stored file. Raises UnreadableFile with its sentence."""
    path = settings.ORIGINALS_DIR / upload.original.stored_name
    return reader.read(path, upload.filename, **upload.read_options)


def build_draft(upload: Upload, result: ReadResult, claim: Claim) -> ImportDraft:
    """Replaces the upload's draft by what this reading gives, in one transaction with the upload's new state."""
    catalogue, recipes = load_catalogue(), recipes_in_use()
    known = known_targets(recipes.values())
    sheets: list[dict[str, Any]] = []
    problems = [problem.to_json() for problem in result.problems]
    units: list[NewUnit] = []
    accepts = ImportDraft.objects.filter(upload=upload, answers__accept_implausible=True).exists()
    for layout in result.layouts:
        recipe = recipes.get(layout.fingerprint)
        sheets.append(sheet_of(layout, result.file, recipe, catalogue, known))
        if recipe and layout.readable:
            found = read_sheet(layout, recipe, accept_implausible=accepts)
            units += new_units(found, layout, recipe)
            problems += [problem.to_json() for problem in found.problems]
    with transaction.atomic():
        draft = _fresh_draft(upload, result, sheets, problems)
        replace_units(draft, units)
        settle_state(draft, claim)
    return draft


def read_sheet(layout: Layout, row: ImportRecipe, *, accept_implausible: bool) -> ImportedTable:
    """The sheet's throws by the recipe, grouped by athlete and day."""
    recipe = Recipe.from_json(row.recipe)
    if accept_implausible:
        recipe = replace(recipe, accept_implausible=(ACCEPT_ALL,))
    return apply_recipe(layout, recipe, load_catalogue())


def _fresh_draft(
    upload: Upload, result: ReadResult, sheets: list[dict[str, Any]], problems: list[dict[str, Any]]
) -> ImportDraft:
    draft, made = ImportDraft.objects.select_for_update().get_or_create(upload=upload)
    left_out = {sheet["fingerprint"] for sheet in draft.layouts if sheet.get("left_out")}
    for sheet in sheets:
        sheet["left_out"] = sheet["fingerprint"] in left_out and not sheet["recipe"]
    draft.file_facts = {**result.file.to_json(), "problem_count": len(problems)}
    draft.layouts = sheets
    draft.problems = problems[:MOST_PROBLEMS]
    draft.revision += 0 if made else 1
    draft.save()
    return draft
