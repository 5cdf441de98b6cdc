"""The array files of recordings: a cache beside the originals, from which one that is gone is made again."""

from __future__ import annotations

import base64
import logging
from pathlib import Path
from typing import NamedTuple

from django.conf import settings

from metrics.kinematics import FoundThrow
from metrics.measuring.room import Room, Thrower
from metrics.services.motion.reading import measurer
from sessions.formats import UnreadableFile
from sessions.formats.kept import VERSION, KeptFileBroken, read_kept
from sessions.formats.recording import Recording
from sessions.models import ThrowRecording
from sessions.storage import write_whole

log = logging.getLogger(__name__)


class ArraysLost(Exception):
    """Neither the array file nor the original gives the throw's positions."""

    sentence = "The positions of this throw are gone: its original file is no longer there. Upload it again."


class KeptThrow(NamedTuple):
    positions: Recording
    found: FoundThrow


def arrays_path(recording: ThrowRecording) -> Path:
    """By original and first frame, so that the same throw is kept once whoever it belongs to."""
    return settings.RECORDINGS_DIR / f"{recording.original.sha256}-{recording.first_frame}.v{VERSION}.npz"


def keep_arrays(recording: ThrowRecording, data: bytes) -> None:
    """Writes the array file; a full disk costs only the time to make it again."""
    try:
        write_whole(arrays_path(recording), data)
    except OSError as error:
        log.warning("The array file of %s could not be written: %s", recording.original, error)


def arrays_of(recording: ThrowRecording) -> KeptThrow:
    """The throw's positions, from its array file or, where that is gone, from the original. Raises ArraysLost."""
    found = FoundThrow(**recording.found)
    try:
        return KeptThrow(read_kept(arrays_path(recording).read_bytes()), found)
    except (OSError, KeptFileBroken):
        data = _cut_again(recording)
        keep_arrays(recording, data)
        return KeptThrow(read_kept(data), found)


def _cut_again(recording: ThrowRecording) -> bytes:
    path = settings.ORIGINALS_DIR / recording.original.stored_name
    room = Room.from_json(recording.room)
    try:
        file = measurer.capture(path, recording.filename, room=room, thrower=Thrower(), keep=True)
    except (OSError, UnreadableFile) as error:
        raise ArraysLost from error
    for throw in file.throws:
        if throw.first_frame == recording.first_frame:
            return base64.b64decode(throw.kept)
    raise ArraysLost
