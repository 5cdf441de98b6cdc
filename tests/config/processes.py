"""Starting Python on the checkout with an environment of the test's own."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parents[2]
VARIABLES = frozenset(re.findall(r"^#?([A-Z][A-Z_]+)=", (CHECKOUT / ".env.example").read_text(), re.MULTILINE))
# The last one is what the browser tests set for their own process.
OURS = VARIABLES | {"DJANGO_SETTINGS_MODULE", "EXPECTED_DATABASE", "DJANGO_ALLOW_ASYNC_UNSAFE"}


def environment(**given: str) -> dict[str, str]:
    """This process's environment without anything that Moundbook reads, and with what is given."""
    return {**{name: value for name, value in os.environ.items() if name not in OURS}, **given}


def run_python(*words: str, timeout_s: float = 60, **given: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *words],
        cwd=CHECKOUT,
        env=environment(**given),
        capture_output=True,
        text=True,
        timeout=timeout_s,
        check=False,
    )
