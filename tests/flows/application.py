"""A whole Moundbook of its own for browser tests: `manage.py run` on a private data folder."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.flows.inside import CHECKOUT, Inside

OPENS_WITHIN_S = 120.0


@dataclass(slots=True)
class Application:
    """A running Moundbook. Everything it keeps lies in `var_dir`; nothing is shared with the test's database.

    `database`: the file that it finds there at its first start; none if that start has all tables to make.
    """

    var_dir: Path
    database: bytes = b""
    address: str = ""
    accounts: dict[str, tuple[str, str]] = field(default_factory=dict)
    process: subprocess.Popen[str] | None = None
    inside: Inside | None = None

    @property
    def environment(self) -> dict[str, str]:
        own = ("DATABASE_URL", "REDIS_URL", "DJANGO_SETTINGS_MODULE", "DJANGO_ALLOW_ASYNC_UNSAFE")
        kept = {k: v for k, v in os.environ.items() if k not in own}
        return {
            **kept,
            "MOUNDBOOK_MODE": "demo",
            "MOUNDBOOK_VAR": str(self.var_dir),
            "PYTHONUNBUFFERED": "1",
        }

    @property
    def output_file(self) -> Path:
        return self.var_dir.parent / f"{self.var_dir.name}.output"

    @property
    def output(self) -> str:
        return self.output_file.read_text() if self.output_file.exists() else ""

    def start(self, *options: str, port: int = 0) -> None:
        """Start it, on a free port unless one is given, and wait until its first page stands."""
        if self.database and not self.var_dir.exists():
            self.var_dir.mkdir(mode=0o700)
            (self.var_dir / "moundbook.sqlite3").write_bytes(self.database)
        with self.output_file.open("w") as output:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "run", "--port", str(port or free_port()), *options],
                cwd=CHECKOUT,
                env=self.environment,
                stdin=subprocess.DEVNULL,
                stdout=output,
                stderr=subprocess.STDOUT,
                text=True,
                start_new_session=True,
            )
        wait_until(self._is_open, limit_s=OPENS_WITHIN_S, otherwise=lambda: self.output)
        line = next(line for line in self.output.splitlines() if "Moundbook is open" in line)
        self.address = line.split()[-1].rstrip("/")

    def _is_open(self) -> bool:
        if self.process is None or self.process.poll() is not None:
            raise AssertionError(f"manage.py run ended:\n{self.output}")
        return "Ctrl-C stops it." in self.output

    def stop(self) -> int:
        """Ctrl-C; returns the exit code."""
        if self.inside is not None:
            self.inside.close()
            self.inside = None
        if self.process is None:
            return 0
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        return self.process.wait(60)

    def kill(self) -> None:
        if self.process is not None:
            self.process.kill()
            self.process.wait(10)

    def shell(self, code: str) -> str:
        """Run lines of Python inside the application, with every model imported by Django's shell."""
        if self.inside is None:
            self.inside = Inside(self.environment, self.var_dir.parent / f"{self.var_dir.name}.inside")
        return self.inside.ask(code).strip()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def wait_until(
    ready: Callable[[], Any], *, limit_s: float, otherwise: Callable[[], str] = lambda: "", pause_s: float = 0.1
) -> Any:
    """Wait for a true answer and return it; fail with what `otherwise` tells when the time is over."""
    deadline = time.monotonic() + limit_s
    while not (answer := ready()):
        if time.monotonic() > deadline:
            raise AssertionError(f"Still waiting after {limit_s:.0f} s.\n{otherwise()}")
        time.sleep(pause_s)
    return answer
