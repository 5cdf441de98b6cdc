"""One file at the door: what the person is told of it."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile

from athletes.models import User
from sessions.models import Upload
from sessions.selectors import open_sessions, sessions_from
from sessions.services.uploads import UploadRefused, clean_filename, receive_upload

MOST_NAMED = 3
NO_LONGER_OPEN = "“{name}” was not taken: that session is no longer open. Open it again, or send the file without it."


@dataclass(frozen=True, slots=True)
class Arrival:
    """`upload` is None when the file was refused; `is_new` is False when the same bytes were here already."""

    sentence: str
    upload: Upload | None = None
    is_new: bool = False


def take_file(file: UploadedFile, by: User, session_uuid: UUID | None = None) -> Arrival:
    """Hands the file to the service piece by piece: it never stands in memory as a whole.

    `session_uuid`: of the open session that it was sent to.
    """
    opened = None
    if session_uuid:
        opened = open_sessions(by).filter(uuid=session_uuid).first()
        if opened is None:
            return Arrival(NO_LONGER_OPEN.format(name=clean_filename(file.name or "")))
    try:
        received = receive_upload(chunks=file.chunks(), filename=file.name or "", by=by, for_session=opened)
    except UploadRefused as refusal:
        return Arrival(refusal.sentence)
    if received.is_new:
        return Arrival("Received, waiting to be read.", received.upload, is_new=True)
    return Arrival(known_file_sentence(received.upload), received.upload)


def known_file_sentence(upload: Upload) -> str:
    """What became of the upload that has the same bytes."""
    start = f"The same file is here since {upload.uploaded_at:%-d %B %Y} as “{upload.filename}”"
    sessions = list(sessions_from(upload))
    if not sessions:
        return f"{start}: {upload.get_state_display()}. Nothing was added."
    named = [f"{session.athlete} on {session.date:%-d %B %Y}" for session in sessions[:MOST_NAMED]]
    more = [f"{len(sessions) - MOST_NAMED} more"] if len(sessions) > MOST_NAMED else []
    return f"{start}. It became {_joined([*named, *more])}. Nothing was added."


def _joined(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
