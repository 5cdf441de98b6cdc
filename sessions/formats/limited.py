"""A limited process that takes one file after another, so that no file can hurt the process that asks."""

from __future__ import annotations

import logging
import os
import signal
import subprocess
import sys
import threading
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sessions.formats import wire
from sessions.formats.problems import ReaderDied, UnreadableFile, unreadable

WALL_SECONDS: Final = 20.0
_START_SECONDS: Final = 10.0
_ROOT: Final = Path(__file__).resolve().parents[2]

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Child:
    """Which module runs in the process (`python -m module <parent's pid>`), and the codes of its misfortunes."""

    module: str
    cpu_seconds: int
    too_much_time: str = "too_much_time"
    died: str = "reader_died"
    failed: str = "reader_failed"


class LimitedProcess:
    """A process that starts at the first request and lives on between them; safe to share among threads.

    In a process that was forked from the one that used it, it starts anew: pipes are not shared.
    """

    def __init__(self, child: Child, *, wall_seconds: float = WALL_SECONDS) -> None:
        self.wall_seconds = wall_seconds
        self._kind = child
        self._forget()

    def ask(self, request: dict[str, Any]) -> dict[str, Any]:
        """The "result" of one request, as the child's answer had it.

        Raises UnreadableFile with its sentence, and of these ReaderDied when the process was killed or ran out of
        memory or time.
        """
        if self._pid != os.getpid():
            self._forget()
        with self._lock:
            return self._ask(request)

    @property
    def child_pid(self) -> int | None:
        """The process's id while it runs."""
        return self._child.pid if self._child and self._child.poll() is None else None

    def close(self) -> None:
        """Ends the process; the next request starts a new one."""
        if self._pid == os.getpid():
            with self._lock:
                self._stop()

    def _forget(self) -> None:
        self._pid = os.getpid()
        self._lock = threading.Lock()
        self._child: subprocess.Popen[bytes] | None = None

    def _ask(self, request: dict[str, Any]) -> dict[str, Any]:
        child = self._running_child(request)
        assert child.stdout is not None
        try:
            answer = wire.receive(child.stdout.fileno(), time.monotonic() + self.wall_seconds)
        except wire.TooSlow:
            child.kill()
            self._stop()
            raise _died(self._kind.too_much_time, seconds=f"{self.wall_seconds:g}") from None
        except wire.Closed:
            returned = self._stop()
            if returned == -signal.SIGXCPU:
                raise _died(self._kind.too_much_time, seconds=self._kind.cpu_seconds) from None
            raise _died(self._kind.died) from None
        return self._result(answer)

    def _running_child(self, request: dict[str, Any]) -> subprocess.Popen[bytes]:
        """A child that has taken the request. One that ended since the last file is replaced, once."""
        for _ in range(2):
            if self._child is None or self._child.poll() is not None:
                self._stop()
                self._child = self._start_child()
            assert self._child.stdin is not None
            try:
                wire.send(self._child.stdin.fileno(), request)
            except wire.Closed:
                self._stop()
            else:
                return self._child
        raise _died(self._kind.died)

    def _result(self, answer: dict[str, Any]) -> dict[str, Any]:
        if "result" in answer:
            result: dict[str, Any] = answer["result"]
            return result
        if "code" in answer:
            kind = ReaderDied if answer["died"] else UnreadableFile
            if answer["died"]:
                self._stop()
            raise kind(answer["code"], answer["sentence"])
        log.error("The reading process failed:\n%s", answer.get("log"))
        raise unreadable(self._kind.failed)

    def _stop(self) -> int | None:
        """Ends the child whatever it does, and returns how it ended; a child that ended by itself keeps its reason."""
        child, self._child = self._child, None
        if child is None:
            return None
        for pipe in (child.stdin, child.stdout):
            if pipe:
                pipe.close()
        try:
            return child.wait(0.5)
        except subprocess.TimeoutExpired:
            child.kill()
            return child.wait()

    def _start_child(self) -> subprocess.Popen[bytes]:
        """Starts the child from a thread that lives as long as it does.

        The kernel's "die with your parent" is about the thread that forked: a web server's threads come and go.
        """
        started = threading.Event()
        box: list[subprocess.Popen[bytes] | OSError] = []

        def keep() -> None:
            try:
                child = _spawn(self._kind.module)
            except OSError as error:
                box.append(error)
                started.set()
                return
            box.append(child)
            started.set()
            child.wait()

        threading.Thread(target=keep, name=self._kind.module, daemon=True).start()
        if not started.wait(_START_SECONDS):
            raise _died(self._kind.died)
        if isinstance(box[0], OSError):
            raise box[0]
        return box[0]


def _died(code: str, **facts: Any) -> ReaderDied:
    error = unreadable(code, **facts)
    return ReaderDied(error.code, error.sentence)


def _spawn(module: str) -> subprocess.Popen[bytes]:
    """The child gets none of this process's environment: it holds passwords and keys that a reader has no use for.

    One thread for the numerical library: each takes address space, and the arrays are small.
    """
    return subprocess.Popen(  # noqa: S603 our own module, no shell
        [sys.executable, "-B", "-s", "-m", module, str(os.getpid())],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        bufsize=0,
        cwd=_ROOT,
        env={
            "PYTHONPATH": str(_ROOT), "LANG": "C.UTF-8", "OPENPYXL_DEFUSEDXML": "True", "OPENPYXL_LXML": "False",
            "OPENBLAS_NUM_THREADS": "1",
        },
    )  # fmt: skip
