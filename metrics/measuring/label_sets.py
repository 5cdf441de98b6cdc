"""Which files have the same set of marker names, whoever was measured."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable


def bare_label(label: str) -> str:
    """Without the prefix that names a person, as "anna:R_EL" has one."""
    return label.strip().rpartition(":")[2].strip()


def label_set_fingerprint(labels: Iterable[str]) -> str:
    """The same for files of one room: of the names without prefix, case and order; unnamed markers do not count."""
    bare = {bare_label(label).upper() for label in labels}
    named = sorted(label for label in bare if label and not label.startswith("*"))
    return hashlib.sha256("\n".join(named).encode()).hexdigest()
