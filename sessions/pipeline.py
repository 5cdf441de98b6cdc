"""The stages that `settings.PIPELINE` names. Each room registers the function of its own stage."""

from __future__ import annotations

import logging
from collections.abc import Callable

from django.conf import settings
from django.core.checks import Error, register
from django.db import transaction
from kombu.exceptions import OperationalError

from athletes.broker import broker_answers

log = logging.getLogger(__name__)

Stage = Callable[[int], None]
_stages: dict[str, Stage] = {}


def stage(name: str) -> Callable[[Stage], Stage]:
    """Registers a function that takes the id of a row, can be killed at any line, and can run again."""

    def keep(function: Stage) -> Stage:
        _stages[name] = function
        return function

    return keep


def stage_function(name: str) -> Stage:
    return _stages[name]


def enqueue_stage(name: str, row_id: int) -> None:
    """Hands the row to the worker once the transaction stands.

    A broker that is away loses nothing: the sweeper finds every row that waits.
    """
    from sessions.tasks import run_stage  # the task module imports this one

    def send() -> None:
        try:
            if broker_answers():
                run_stage.delay(name, row_id)
                return
        except (OperationalError, OSError):
            pass  # it went away between the two lines
        log.warning("The broker does not answer; stage %s of row %s waits for the sweeper.", name, row_id)

    transaction.on_commit(send)


@register
def check_every_stage_has_its_function(**_: object) -> list[Error]:
    missing = [name for name in settings.PIPELINE if name not in _stages]
    return [
        Error(
            f"No room has registered a function for the stage “{name}”.",
            hint="Import the module with its @stage function in that room's AppConfig.ready().",
            id="moundbook.E020",
        )
        for name in missing
    ]
