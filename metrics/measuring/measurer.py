"""Measures files in a limited process of its own, so that a hostile one costs no more than its own result."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Final

from metrics.measuring.asked import Asked
from metrics.measuring.captured import CapturedFile
from metrics.measuring.measured import MeasuredFile
from metrics.measuring.room import Room, Thrower
from sessions.formats.limited import Child, LimitedProcess
from sessions.formats.problems import UnreadableFile

CPU_SECONDS: Final = 30
"""For one file: 64 throws in five minutes at 300 Hz took 3 s, and 14 throws at 1,000 Hz took 2 s."""

WALL_SECONDS: Final = 90.0

RECORDINGS: Final = Child(
    "metrics.measuring.child",
    CPU_SECONDS,
    too_much_time="recording_too_much_time",
    died="recording_reader_died",
    failed="recording_reader_failed",
)


class Measurer(LimitedProcess):
    """The measuring process."""

    def __init__(self, *, wall_seconds: float = WALL_SECONDS) -> None:
        super().__init__(RECORDINGS, wall_seconds=wall_seconds)

    def measure(self, path: Path | str, asked: Asked) -> MeasuredFile:
        """One C3D file, measured. Whatever is wrong with it comes back as a refusal."""
        name = str(path)
        try:
            resolved = Path(path).resolve(strict=True)
        except (OSError, RuntimeError, ValueError):
            return MeasuredFile(name, refusals=("There is no such file.",))
        if not resolved.is_file():
            return MeasuredFile(name, refusals=("This is no file.",))
        if not os.access(resolved, os.R_OK):
            return MeasuredFile(name, refusals=("You may not read this file. Ask whoever owns it.",))
        try:
            answer = self.ask({"do": "measure", "path": str(resolved), "filename": name, "asked": asdict(asked)})
        except UnreadableFile as error:
            return MeasuredFile(name, refusals=(error.sentence,))
        return MeasuredFile.from_json(answer)

    def capture(
        self,
        path: Path,
        filename: str,
        *,
        room: Room,
        thrower: Thrower,
        keep: bool = False,
        rooms: Mapping[str, Room] | None = None,
    ) -> CapturedFile:
        """`capture_bytes` of a stored C3D file; `filename` is what the user called it.

        Raises UnreadableFile with its sentence, and of these ReaderDied when the process was killed or ran out of
        memory or time.
        """
        known = {fingerprint: one.to_json() for fingerprint, one in (rooms or {}).items()}
        about = {"room": room.to_json(), "rooms": known, "thrower": thrower.to_json(), "keep": keep}
        return CapturedFile.from_json(self.ask({"do": "capture", "path": str(path), "filename": filename, **about}))
