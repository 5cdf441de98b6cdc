"""Headers as people write them, with the metric that each means; written without a look at the catalogue's synonyms."""

from __future__ import annotations

import csv
import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

HEADERS = Path(__file__).with_name("headers.csv")


@dataclass(frozen=True, slots=True)
class Header:
    """One header and the key of its metric, "" when it means none that we keep."""

    text: str
    metric: str
    language: str

    @property
    def is_held_out(self) -> bool:
        """Half of them, by a hash that nobody chose: these are measured, and never looked at to improve matching."""
        return hashlib.sha256(self.text.encode()).digest()[0] % 2 == 1


@cache
def read_headers() -> tuple[Header, ...]:
    """All headers in the order of the file."""
    with HEADERS.open(encoding="utf-8", newline="") as lines:
        return tuple(Header(row["header"], row["metric"], row["language"]) for row in csv.DictReader(lines))
