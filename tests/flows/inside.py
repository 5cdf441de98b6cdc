"""A Python inside a running application: it starts once and answers line after line, as `manage.py shell -c` would.

Starting Python with the whole application costs seconds of processor time; the tests of a run ask some fifty times.
"""

from __future__ import annotations

import contextlib
import io
import json
import subprocess
import sys
import traceback
from pathlib import Path
from typing import Any

CHECKOUT = Path(__file__).resolve().parents[2]
LOOP = "from tests.flows.inside import answer; answer(globals())"
PATIENCE_S = 30


class Inside:
    """The asking end. `said`: where what the process logs is kept."""

    def __init__(self, environment: dict[str, str], said: Path) -> None:
        self.said = said
        with said.open("w") as log:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "shell", "-v", "0", "-c", LOOP],
                cwd=CHECKOUT,
                env=environment,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=log,
                text=True,
            )

    def ask(self, lines: str) -> str:
        """What these lines of Python print; fails with the words of their failure."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps(lines) + "\n")
        self.process.stdin.flush()
        line = self.process.stdout.readline()
        assert line, f"The Python inside the application ended:\n{self.said.read_text()}"
        answer = json.loads(line)
        assert not answer["failure"], answer["printed"] + answer["failure"]
        return str(answer["printed"])

    def close(self) -> None:
        """Its standard input ends, and so does it."""
        try:
            self.process.communicate(timeout=PATIENCE_S)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()


def answer(names: dict[str, Any]) -> None:
    """The answering end: each line of standard input is run with these names, and with no name of the line before."""
    from django.db import connections

    for line in sys.stdin:
        printed, failure = io.StringIO(), ""
        with contextlib.redirect_stdout(printed):
            try:
                exec(json.loads(line), dict(names))
            except Exception:
                failure = traceback.format_exc()
        connections.close_all()
        print(json.dumps({"printed": printed.getvalue(), "failure": failure}), flush=True)
