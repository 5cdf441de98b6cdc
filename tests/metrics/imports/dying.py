"""The end of a process at a chosen database call."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection, transaction

MOST_CALLS = 400


class Killed(BaseException):
    """Stands for the end of the process: nothing catches it."""


@contextmanager
def dying_at(call: int) -> Iterator[list[int]]:
    """Raises at the given database call, and counts the calls that were made."""
    made = [0]

    def count(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: dict[str, Any]) -> Any:
        made[0] += 1
        if made[0] == call:
            raise Killed
        return execute(sql, params, many, context)

    with connection.execute_wrapper(count):
        yield made


@contextmanager
def undone() -> Iterator[None]:
    """What happens inside leaves no trace."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def calls_of(act: Callable[[], object]) -> int:
    """How many database calls the act makes once caches are warm."""
    with undone(), dying_at(0) as made:
        act()
    assert 10 < made[0] < MOST_CALLS
    return made[0]
