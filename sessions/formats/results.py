"""What the reading process answers: how the file was understood, its layouts, its problems; and its JSON."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sessions.formats.grid import FileFacts
from sessions.formats.layout import Layout
from sessions.formats.problems import Problem
from sessions.formats.tables import read_table_file
from sessions.formats.understanding import understand_layout


@dataclass(frozen=True, slots=True)
class ReadResult:
    """A file that was read: one layout a sheet. `problems` are the file's and all its layouts', in that order."""

    file: FileFacts
    layouts: tuple[Layout, ...]
    problems: tuple[Problem, ...]

    def to_json(self) -> dict[str, Any]:
        own = self.problems[: len(self.problems) - sum(len(layout.problems) for layout in self.layouts)]
        return {
            "file": self.file.to_json(),
            "layouts": [layout.to_json() for layout in self.layouts],
            "problems": [p.to_json() for p in own],
        }

    @classmethod
    def from_json(cls, stored: dict[str, Any]) -> ReadResult:
        layouts = tuple(Layout.from_json(layout) for layout in stored["layouts"])
        own = tuple(Problem.from_json(p) for p in stored["problems"])
        return cls(FileFacts.from_json(stored["file"]), layouts, own + _of_layouts(layouts))


def read_layouts(
    data: bytes,
    filename: str,
    *,
    encoding: str | None = None,
    delimiter: str | None = None,
    decimal_mark: str | None = None,
) -> ReadResult:
    """Reads a file in this process, without limits of memory or time: tests and trusted files only.

    Raises UnreadableFile; ValueError for a choice that is not offered.
    """
    file = read_table_file(data, filename, encoding=encoding, delimiter=delimiter, decimal_mark=decimal_mark)
    layouts = tuple(understand_layout(table, decimal_mark=file.decimal_mark) for table in file.tables)
    return ReadResult(file.facts, layouts, file.problems + _of_layouts(layouts))


def _of_layouts(layouts: tuple[Layout, ...]) -> tuple[Problem, ...]:
    return tuple(p for layout in layouts for p in layout.problems)
