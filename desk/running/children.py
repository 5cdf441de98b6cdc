"""Processes that are started together, watched, started again when they die, and stopped in order."""

import os
import signal
import subprocess
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from desk.running.parent_death import die_with_parent

RESTARTS_ALLOWED = 3
RESTART_WINDOW_S = 60.0
LAST_LINES = 15
RESTART_PAUSE_S = 0.5
POLL_S = 0.2


class ChildKeepsDying(Exception):
    """A child died more often than it may; the message names it."""


@dataclass(frozen=True, slots=True)
class ChildPlan:
    """How one child is started and stopped. Its output goes to a log file of its own."""

    name: str
    command: tuple[str, ...]
    log: Path
    folder: Path
    patience_s: float = 10.0
    open_files: tuple[int, ...] = ()


class Child:
    """One running plan."""

    def __init__(self, plan: ChildPlan) -> None:
        self.plan = plan
        self.deaths: deque[float] = deque(maxlen=RESTARTS_ALLOWED + 1)
        self.process = self._start(mode="wb")

    def _start(self, mode: str) -> subprocess.Popen[bytes]:
        parent = os.getpid()
        with self.plan.log.open(mode) as log:
            # A session of its own: Ctrl-C at the terminal reaches only the parent, which stops in order.
            return subprocess.Popen(  # noqa: S603 - the commands are our own
                self.plan.command,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=subprocess.STDOUT,
                cwd=self.plan.folder,
                pass_fds=self.plan.open_files,
                start_new_session=True,
                preexec_fn=lambda: die_with_parent(parent),
            )

    @property
    def is_alive(self) -> bool:
        return self.process.poll() is None

    def restart(self) -> None:
        """Start again after a death. Raises ChildKeepsDying when that happened too often lately."""
        now = time.monotonic()
        self.deaths.append(now)
        recent = [moment for moment in self.deaths if now - moment <= RESTART_WINDOW_S]
        if len(recent) > RESTARTS_ALLOWED:
            raise ChildKeepsDying(self.plan.name)
        time.sleep(RESTART_PAUSE_S)
        self.process = self._start(mode="ab")

    def last_lines(self) -> list[str]:
        text = self.plan.log.read_text(errors="replace") if self.plan.log.exists() else ""
        return text.splitlines()[-LAST_LINES:]

    def stop(self) -> None:
        """Ask it to end; end it when its patience is over."""
        if not self.is_alive:
            return
        self.process.send_signal(signal.SIGTERM)
        try:
            self.process.wait(self.plan.patience_s)
        except subprocess.TimeoutExpired:
            self.kill()

    def kill(self) -> None:
        if self.is_alive:
            self.process.kill()
        self.process.wait()


class Household:
    """The children of one start, in the order in which they were started."""

    def __init__(self, say: Callable[[str], None]) -> None:
        self._say = say
        self._children: list[Child] = []

    def start(self, plan: ChildPlan) -> Child:
        child = Child(plan)
        self._children.append(child)
        return child

    def watch_once(self) -> None:
        """Start every dead child again, and show what it said last."""
        for child in self._children:
            if child.is_alive:
                continue
            self._say(f"The {child.plan.name} ended unexpectedly (code {child.process.returncode}).")
            self._show(child)
            child.restart()
            self._say(f"The {child.plan.name} was started again.")

    def watch(self) -> None:
        """Watch until an exception ends it: Ctrl-C, or ChildKeepsDying."""
        while True:
            self.watch_once()
            time.sleep(POLL_S)

    def wait_for(self, ready: Callable[[], bool], *, name: str, limit_s: float) -> None:
        """Wait until `ready` says yes. Raises ChildKeepsDying when it does not in time."""
        deadline = time.monotonic() + limit_s
        while not ready():
            if time.monotonic() > deadline:
                self._show_named(name)
                raise ChildKeepsDying(f"{name} (not ready after {limit_s:.0f} s)")
            self.watch_once()
            time.sleep(0.05)

    def stop(self) -> None:
        """Stop in the reverse order of the start: nobody loses what they still need."""
        for child in reversed(self._children):
            child.stop()

    def kill(self) -> None:
        for child in reversed(self._children):
            child.kill()

    def _show(self, child: Child) -> None:
        for line in child.last_lines():
            self._say(f"  | {line}")
        self._say(f"  Everything it said stands in {child.plan.log}")

    def _show_named(self, name: str) -> None:
        for child in self._children:
            if child.plan.name == name:
                self._show(child)
