"""Changes functions of a running process, so that a mutation needs no new one: their code is exchanged in a fork."""

from __future__ import annotations

import functools
import gc
import os
import signal
from collections.abc import Callable, Iterator, Sequence
from itertools import product
from types import CodeType, FunctionType, ModuleType
from typing import Any

from django.db import transaction

from tests.policy.finding_checks import Mutation
from tests.policy.knocking import Knocker

KILLED, PASSED, UNFIT, HUNG = 1, 0, 3, 4
LIMIT_S = 600


def codes_of(source: bytes, filename: str) -> dict[tuple[str, int], CodeType]:
    """Every piece of code by its qualified name, and its number among those of that name."""
    found: dict[tuple[str, int], CodeType] = {}
    seen: dict[str, int] = {}

    def collect(code: CodeType) -> None:
        number = seen[code.co_qualname] = seen.get(code.co_qualname, -1) + 1
        found[code.co_qualname, number] = code
        for constant in code.co_consts:
            if isinstance(constant, CodeType):
                collect(constant)

    collect(compile(source, filename, "exec"))
    return found


def changed_codes(mutation: Mutation) -> list[tuple[CodeType, CodeType]] | None:
    """(as it was, as it becomes) of the functions that differ; None when the change stands outside of functions."""
    source, name = mutation.path.read_bytes(), str(mutation.path)
    before, after = codes_of(source, name), codes_of(mutation.applied_to(source), name)
    if before.keys() != after.keys():
        return None
    pairs = [(before[key], after[key]) for key in before if before[key] != after[key]]
    # What holds the changed function differs with it, since it holds its code.
    inner = [(old, new) for old, new in pairs if not any(other is not old and _holds(old, other) for other, _ in pairs)]
    unfit = any("<module>" in old.co_qualname or old.co_freevars != new.co_freevars for old, new in inner)
    return None if unfit or not inner else inner


def _holds(outer: CodeType, inner: CodeType) -> bool:
    return any(one is inner or (isinstance(one, CodeType) and _holds(one, inner)) for one in outer.co_consts)


def exchange(pairs: Sequence[tuple[CodeType, CodeType]]) -> bool:
    """Gives every living function of the old code the new one; False when none lives. Memories are cleared."""
    new_of = {(old.co_filename, old.co_qualname, old.co_firstlineno): new for old, new in pairs}
    met = 0
    for one in gc.get_objects():
        if isinstance(one, FunctionType):
            code = one.__code__
            new = new_of.get((code.co_filename, code.co_qualname, code.co_firstlineno))
            if new is not None:
                one.__code__ = new
                met += 1
        elif isinstance(one, functools._lru_cache_wrapper):
            one.cache_clear()
    return met > 0


def in_a_fork(work: Callable[[], int]) -> int:
    """What `work` returned, in a copy of this process that ends with it. HUNG when that takes too long."""
    child = os.fork()
    if child == 0:
        signal.alarm(LIMIT_S)
        try:
            outcome = work()
        except BaseException:
            outcome = KILLED
        os._exit(outcome)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status) if os.WIFEXITED(status) else HUNG


def first_failure(door: Knocker, modules: Sequence[ModuleType], first: Sequence[str]) -> str:
    """The first test that fails, those of the named addresses before all others; empty when all pass."""
    calls = [call for module in modules for call in _calls(module)]
    calls.sort(key=lambda call: not any(name in call[1].values() for name in first))
    for test, values in calls:
        try:
            with transaction.atomic():
                test(door, **values)
                transaction.set_rollback(True)
        except BaseException as failed:
            return f"{test.__name__}{list(values.values())}: {type(failed).__name__}"
    return ""


def _calls(module: ModuleType) -> Iterator[tuple[Callable[..., None], dict[str, Any]]]:
    """Every test of the module that takes the door, with each combination of its parameters."""
    for name, test in vars(module).items():
        if name.startswith("test_") and isinstance(test, FunctionType) and "door" in test.__code__.co_varnames[:1]:
            marks = [mark for mark in getattr(test, "pytestmark", ()) if mark.name == "parametrize"]
            for chosen in product(*(list(_values(mark)) for mark in marks)):
                yield test, {key: value for one in chosen for key, value in one.items()}


def _values(mark: Any) -> Iterator[dict[str, Any]]:
    names, rows = mark.args[0], mark.args[1]
    if isinstance(names, str):
        yield from ({names: row} for row in rows)
    else:
        yield from (dict(zip(names, row, strict=True)) for row in rows)
