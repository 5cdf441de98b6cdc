"""The read stage of a recording: its throws measured, and a draft of them that waits for a person."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction

from athletes.models import Athlete, ExternalId
from metrics.importing.file_names import NameSays, read_file_name
from metrics.importing.throws import AthleteReference, ImportedGroup
from metrics.measuring import Measurer
from metrics.measuring.capture import LABEL_CODES
from metrics.measuring.captured import CapturedFile, CapturedThrow
from metrics.measuring.room import Room
from metrics.models import ImportDraft, ImportUnit, Reading
from metrics.services.imports.payloads import Payload, PayloadThrow
from metrics.services.imports.preview import NewUnit, replace_units, settle_state
from metrics.services.motion.rooms import room_of, setups_in_use, thrower_of
from sessions.claims import Claim
from sessions.models import CaptureSetup, FilterKnowledge, Landing, Method, Upload

FIRST_BYTES = 512
FIRST_BLOCK_MOST = 32

measurer = Measurer(wall_seconds=settings.READER_SECONDS)


def is_recording(path: Path, filename: str) -> bool:
    """Whether a stored file is a motion capture recording, or is called one: then its sentences are a recording's.

    A C3D file's second byte is 80, its first the number of a low block, and no text has a zero byte (c3d.org).
    """
    if filename.lower().endswith(".c3d"):
        return True
    with path.open("rb") as file:
        start = file.read(FIRST_BYTES)
    return len(start) > 1 and start[1] == 80 and 1 < start[0] < FIRST_BLOCK_MOST and b"\x00" in start


def captured_of(draft: ImportDraft) -> CapturedFile:
    """What was found in the recording."""
    return CapturedFile.from_json(draft.file_facts["captured"])


def path_of(upload: Upload) -> Path:
    return settings.ORIGINALS_DIR / upload.original.stored_name


def build_motion_draft(upload: Upload, claim: Claim) -> None:
    """Replaces the upload's draft by what this reading gives, in one transaction with the upload's new state.

    Raises UnreadableFile with its sentence.
    """
    before = ImportUnit.objects.filter(draft__upload=upload).select_related("athlete").first()
    opened = upload.for_session
    says = read_file_name(upload.filename)
    athlete = opened.athlete if opened else before.athlete if before else None
    said = opened.date if opened else says.date
    date = (before.date if before and not opened else None) or said
    setup, file = measure_upload(upload, athlete, date)
    with transaction.atomic():
        draft, made = ImportDraft.objects.select_for_update().get_or_create(upload=upload)
        draft.revision += 0 if made else 1
        draft.file_facts = {"kind": ImportDraft.MOTION, "captured": file.to_json(), "problem_count": 0}
        draft.layouts = [_sheet_of(file, setup, draft)]
        draft.problems = problems_of_file(file)
        draft.file_facts["problem_count"] = len(draft.problems)
        draft.save()
        replace_units(draft, [] if needs_labels(file) else [_new_unit(upload, file, setup, says, said)])
        settle_state(draft, claim)


def measure_upload(
    upload: Upload, athlete: Athlete | None, date: dt.date | None, *, keep: bool = False
) -> tuple[CaptureSetup | None, CapturedFile]:
    """The file by the setup that is meant, else by the one that knows its names, and that setup."""
    person = upload.read_options.get("person", "")
    in_use = setups_in_use()
    chosen = _chosen(upload, in_use)
    known = {fingerprint: one for one in in_use for fingerprint in one.label_sets}
    rooms: dict[str, Room] = {} if chosen else {key: room_of(one, person) for key, one in known.items()}
    file = measurer.capture(
        path_of(upload),
        upload.filename,
        room=room_of(chosen, person),
        rooms=rooms,
        thrower=thrower_of(athlete, date),
        keep=keep,
    )
    return chosen or known.get(file.label_set), file


def _chosen(upload: Upload, in_use: list[CaptureSetup]) -> CaptureSetup | None:
    """The setup that a person chose for this file, or that of the open session that it was sent to."""
    wanted = upload.read_options.get("setup", "")
    if wanted:
        return next((one for one in in_use if str(one.uuid) == wanted), None)
    return upload.for_session.capture_setup if upload.for_session else None


def needs_labels(file: CapturedFile) -> bool:
    return not file.throws and any(one.code in LABEL_CODES for one in file.refusals)


def _sheet_of(file: CapturedFile, setup: CaptureSetup | None, draft: ImportDraft) -> dict[str, Any]:
    """The recording as the one table of its draft: which names it has, and which setup reads them."""
    left_out = any(one.get("left_out") and one["fingerprint"] == file.label_set for one in draft.layouts)
    return {
        "sheet": "",
        "fingerprint": file.label_set,
        "readable": True,
        "row_count": file.frames,
        "recipe": "" if needs_labels(file) else str(setup.uuid) if setup else "found from the file",
        "recipe_name": setup.name if setup else "",
        "left_out": left_out and needs_labels(file),
    }


def problems_of_file(file: CapturedFile) -> list[dict[str, Any]]:
    """Everything that was said of the file and its throws, as the preview lists it."""
    said = [("error", one.code, one.sentence) for one in file.refusals]
    several = len(file.throws) > 1
    for number, throw in enumerate(file.throws, 1):
        place = f"Throw {number}: " if several else ""
        said += [("warning", one.code, f"{place}{one.sentence}") for one in throw.questions]
        said += [("note", one.code, f"{place}{one.sentence}") for one in throw.notices]
    said += [("note", "recording", sentence) for sentence in file.problems]
    return [
        {"code": code, "sentence": sentence, "severity": severity, "sheet": "", "row": None, "column": None}
        for severity, code, sentence in dict.fromkeys(said)
    ]


def _new_unit(
    upload: Upload, file: CapturedFile, setup: CaptureSetup | None, says: NameSays, date: dt.date | None
) -> NewUnit:
    """`date`: as the file's name or the open session has it; what a person answered is kept with the unit."""
    named = upload.read_options.get("person") or (file.people[0] if len(file.people) == 1 else "")
    is_id = bool(named) and ExternalId.objects.filter(value__iexact=named).exists()
    reference = AthleteReference(external_id=named) if is_id else AthleteReference(name=named or says.words)
    return NewUnit(
        sheet="",
        reference=reference,
        group=ImportedGroup(reference, date, ()),
        method=Method.MOTION_CAPTURE,
        payload=payload_of(file, setup, numbers_by_name(file, says)),
        problems=[],
        athlete=upload.for_session.athlete if upload.for_session else None,
    )


def numbers_by_name(file: CapturedFile, says: NameSays) -> list[int]:
    """The throws' numbers: that of the file's name where it is of one throw, else their order."""
    if len(file.throws) == 1 and says.number:
        return [says.number]
    return list(range(1, len(file.throws) + 1))


def payload_of(file: CapturedFile, setup: CaptureSetup | None, numbers: Sequence[int]) -> Payload:
    """The throws as they would be stored."""
    room = room_of(setup)
    return Payload(
        throws=[
            PayloadThrow(
                number=number,
                rows=[place],
                conditions={"surface": setup.surface} if setup else {},
                ball_speed_m_s=None,
                values=throw.values,
                excluded_reason=to_confirm(throw),
            )
            for place, (throw, number) in enumerate(zip(file.throws, numbers, strict=True), 1)
        ],
        setup=setup.name if setup else "",
        landing=Landing.FIRST_TOUCH,
        filter_knowledge=FilterKnowledge.NONE if room.filter_hz is None else FilterKnowledge.KNOWN,
        filter_hz=room.filter_hz,
        frame_rate_hz=file.rate_hz,
        source=Reading.Source.MARKERS,
    )


def to_confirm(throw: CapturedThrow) -> str:
    """Why a throw is not scored until a person says that it may be; "" when nothing is doubted."""
    return f"to confirm: {throw.questions[0].sentence}"[:200] if throw.questions else ""


def as_plain(throw: CapturedThrow) -> dict[str, Any]:
    """A throw's FoundThrow as `ThrowRecording.found` keeps it."""
    return asdict(throw.throw)
