"""The children of one start besides the broker: worker, beat and web."""

import sys
from pathlib import Path

from desk.running.children import ChildPlan

CHECKOUT = Path(__file__).resolve().parents[2]


def worker_plan(log: Path) -> ChildPlan:
    command = ("-m", "celery", "-A", "config", "worker", "--loglevel=INFO", "--without-mingle", "--without-gossip")
    return ChildPlan(name="worker", command=(sys.executable, *command), log=log, folder=CHECKOUT)


def beat_plan(log: Path, schedule: Path) -> ChildPlan:
    """The clock of the sweepers, as a child of its own: inside the worker it would die, or be orphaned, with it."""
    command = ("-m", "celery", "-A", "config", "beat", "--loglevel=WARNING", "--pidfile=", "--schedule")
    return ChildPlan(name="clock", command=(sys.executable, *command, str(schedule)), log=log, folder=CHECKOUT)


def web_plan(log: Path, listening: int) -> ChildPlan:
    """listening: file number of a socket that already listens; it outlives a restart of the web server."""
    command = ("-m", "gunicorn", "--config", "python:desk.running.web", "--bind", f"fd://{listening}")
    return ChildPlan(
        name="web server",
        command=(sys.executable, *command),
        log=log,
        folder=CHECKOUT,
        open_files=(listening,),
    )
