"""Garbage collection, and when it is worth nothing."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def no_collection() -> Iterator[None]:
    """Memory is given back by counting references alone while a file's rows are made.

    A season is a million small objects without a cycle among them: looking through them again and again for cycles
    takes a third of the time. Works as a decorator too.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
