"""Hostile files as a coach would send them, each with what must be said. Made in code; none lies on disk."""

from __future__ import annotations

from tests.metrics.imports.hostile_files import disguises, readers, texts, workbooks
from tests.metrics.imports.hostile_files.rows import Fate, Hostile

HOSTILE: dict[str, Hostile] = {**readers.ROWS, **texts.ROWS, **workbooks.ROWS, **disguises.ROWS}

__all__ = ["HOSTILE", "Fate", "Hostile"]
