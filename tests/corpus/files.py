"""All good files: made ones in any size, and those typed by hand."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path

from tests.corpus.block_files import BLOCK_MAKERS
from tests.corpus.book_files import BOOK_MAKERS
from tests.corpus.long_files import LONG_MAKERS
from tests.corpus.made import CorpusFile, Size
from tests.corpus.tables import Expected
from tests.corpus.untidy_files import UNTIDY_MAKERS
from tests.corpus.wide_files import WIDE_MAKERS

TYPED = Path(__file__).with_name("typed")

MAKERS: Mapping[str, Callable[[Size], CorpusFile]] = {
    maker.__name__: maker for maker in (*WIDE_MAKERS, *UNTIDY_MAKERS, *LONG_MAKERS, *BLOCK_MAKERS, *BOOK_MAKERS)
}

TYPED_FACTS: Mapping[str, Mapping[str, object]] = {
    "bullpen_notes.csv": {"day_first": False, "units": {"ball_speed": "mph", "lead_knee_flexion_fp": "deg"}},
    "camp_april.csv": {"day_first": True},
    "winter_retest.csv": {"landing": "fc"},
}
"""What the coach knows besides each typed file, as CorpusFile takes it."""


def typed_file(name: str) -> CorpusFile:
    """A table typed by hand, and its truth typed by hand in the file beside it."""
    truth = (TYPED / name).with_suffix(".truth.csv")
    with truth.open(encoding="utf-8", newline="") as lines:
        expected = [
            Expected(
                row["athlete"],
                date.fromisoformat(row["date"]),
                int(row["throw"]),
                row["metric"],
                float(row["value"]),
                row["moment"],
            )
            for row in csv.DictReader(lines)
        ]
    return CorpusFile(name, (TYPED / name).read_bytes(), expected, **TYPED_FACTS[name])
