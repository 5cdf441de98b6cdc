"""The log that ties the package's source to its version: metrics/judging/algorithm_log.toml.

After a change:  .venv/bin/python -m tests.metrics.judging.algorithm_log "no change in numbers: why"
                 (or raise ALGORITHM first and say what changed)
"""

from __future__ import annotations

import hashlib
import sys
import tomllib
from itertools import pairwise
from pathlib import Path

from metrics import judging

PACKAGE = Path(judging.__file__).parent
LOG = PACKAGE / "algorithm_log.toml"
NO_CHANGE = "no change in numbers"


def source_hash(package: Path = PACKAGE) -> str:
    """Hash of every Python file of the package, by name and content (line ends apart)."""
    digest = hashlib.sha256()
    for path in sorted(package.glob("**/*.py")):
        digest.update(path.relative_to(package).as_posix().encode() + b"\0")
        digest.update(path.read_text(encoding="utf-8").encode() + b"\0")
    return digest.hexdigest()[:16]


def read_entries(text: str) -> list[dict[str, str]]:
    """The log's entries, oldest first."""
    return tomllib.loads(text).get("entry", [])


def faults(entries: list[dict[str, str]], source: str, version: str) -> list[str]:
    """What is wrong with a log, given the source's hash and the package's version."""
    if not entries:
        return ["The log is empty."]
    found = []
    last = entries[-1]
    if last["source"] != source:
        found.append("The source changed: add an entry (see tests/metrics/judging/algorithm_log.py).")
    if last["version"] != version:
        found.append(f"The last entry is of {last['version']}, the package of {version}.")
    for before, after in pairwise(entries):
        if before["version"] == after["version"] and not after["note"].startswith(NO_CHANGE):
            found.append(f"{after['source']}: a new version, or a note that starts with “{NO_CHANGE}”.")
    return found


def add_entry(note: str, version: str = judging.ALGORITHM, package: Path = PACKAGE) -> None:
    """Append the package's present source under its present version."""
    quoted = note.replace("\\", "\\\\").replace('"', '\\"')
    lines = ["", "[[entry]]", f'version = "{version}"', f'source = "{source_hash(package)}"', f'note = "{quoted}"']
    with (package / LOG.name).open("a", encoding="utf-8") as log:
        log.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    if len(sys.argv) != 2 or not sys.argv[1].strip():
        sys.exit(__doc__)
    add_entry(sys.argv[1])
