"""Reads tables in a limited process of its own, so that no file can hurt the process that asks."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from sessions.formats.child import CPU_SECONDS
from sessions.formats.limited import WALL_SECONDS, Child, LimitedProcess
from sessions.formats.results import ReadResult

TABLES: Final = Child("sessions.formats.child", CPU_SECONDS)


class Reader(LimitedProcess):
    """The reading process of tables."""

    def __init__(self, *, wall_seconds: float = WALL_SECONDS) -> None:
        super().__init__(TABLES, wall_seconds=wall_seconds)

    def read(
        self,
        path: Path | str,
        filename: str,
        *,
        encoding: str | None = None,
        delimiter: str | None = None,
        decimal_mark: str | None = None,
    ) -> ReadResult:
        """The layouts of a stored CSV or XLSX file. `filename` is what the user called it.

        Raises UnreadableFile with its sentence, and of these ReaderDied when the process was killed or ran out of
        memory or time; FileNotFoundError when there is no such file.
        """
        path = Path(path).resolve(strict=True)
        choices = {"encoding": encoding, "delimiter": delimiter, "decimal_mark": decimal_mark}
        return ReadResult.from_json(self.ask({"path": str(path), "filename": filename, "choices": choices}))
