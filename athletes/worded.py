"""Queries that are put into SQL once and then asked again and again, on the pages that are opened most.

Putting a query into SQL takes the library three to five times as long as the database takes to answer it, and gives
the same text at each look.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from copy import copy
from dataclasses import dataclass, field
from functools import cache, lru_cache, wraps
from typing import Any, ParamSpec

from django.core.exceptions import EmptyResultSet
from django.db import connections
from django.db.models import QuerySet
from django.utils import timezone

from athletes.models.accounts import User

KEPT = 256
"""Wordings of one query, the last ones used: one for each role and day, or choice of a list."""
LEAST_ROOM = 16
FIRST_PLACE = -1_000_000_000
"""What stands in a wording for the keys that it is asked for; no row has such a key."""
READER_PLACE = -2_000_000_000
"""What stands in a wording for the reader's key."""

Arguments = ParamSpec("Arguments")


def worded_once(make: Callable[Arguments, QuerySet]) -> Callable[Arguments, list[Any]]:
    """Decorates a function that gives a queryset: gives the list of its rows instead.

    All that the query depends on must be an argument, dates too, and hashable: equal arguments ask the same SQL again.
    Primary keys are given as `Keys`, and a reader as a User: not they are remembered but their room and the role.
    `make` is then called with somebody of that role in the reader's stead, of whom it may ask key, role and whether the
    account is in use, as `visible_to` does. It must read neither the database nor a clock but the day of
    `timezone.localdate`, by which a guardian stops reading. What is prefetched is put into SQL each time.
    """

    @lru_cache(KEPT)
    def wording(asked: _Asked) -> _Wording:
        return _Wording.of(make(*asked.arguments))  # type: ignore[call-arg]

    @wraps(make)
    def rows(*arguments: Any) -> list[Any]:
        asked = [_argument(one) for one in arguments]
        given = dict[int, int]()
        for one in asked:
            given |= one.given
        return wording(_Asked(tuple(one.key for one in asked), tuple(one.stand_in for one in asked))).rows(given)

    return rows  # type: ignore[return-value]


@dataclass(frozen=True, slots=True)
class Keys:
    """Primary keys that change from look to look. `make` puts `places` where they stand; one `Keys` a query."""

    keys: tuple[int, ...]

    @classmethod
    def of(cls, keys: Iterable[int]) -> Keys:
        return cls(tuple(keys))

    @property
    def room(self) -> int:
        """A power of two, so that few wordings serve any number of keys."""
        return max(LEAST_ROOM, 1 << (len(self.keys) - 1).bit_length()) if self.keys else LEAST_ROOM

    @property
    def places(self) -> list[int]:
        return list(range(FIRST_PLACE - self.room, FIRST_PLACE))

    @property
    def filled(self) -> dict[int, int]:
        """The key in each place; a place that is left over asks for nobody."""
        left = self.room - len(self.keys)
        return dict(zip(self.places, (*self.keys, *[FIRST_PLACE] * left), strict=True))


@dataclass(frozen=True, slots=True)
class _Asked:
    """Arguments, equal where their keys are."""

    key: tuple[Hashable, ...]
    arguments: tuple[Any, ...] = field(compare=False)


@dataclass(frozen=True, slots=True)
class _Argument:
    """`stand_in`: what the query is made with, the same for equal keys; `given`: the value of each place."""

    key: Hashable
    stand_in: Any
    given: Mapping[int, int]


def _argument(argument: Any) -> _Argument:
    if isinstance(argument, Keys):
        return _Argument(argument.room, argument, argument.filled)
    if isinstance(argument, User):
        kind = (argument.role, argument.is_active)
        return _Argument((*kind, timezone.localdate()), _somebody(*kind), {READER_PLACE: argument.pk})
    return _Argument(argument, argument, {})


@cache
def _somebody(role: str, is_active: bool) -> User:
    return User(pk=READER_PLACE, role=role, is_active=is_active)


@dataclass(frozen=True, slots=True)
class _Wording:
    """`compiler` is the library's own, which knows the columns; `sql` is empty where nothing can be found."""

    queryset: QuerySet
    compiler: Any
    sql: str
    parameters: tuple[Any, ...]

    @classmethod
    def of(cls, queryset: QuerySet) -> _Wording:
        compiler = queryset.query.get_compiler(queryset.db)
        try:
            sql, parameters = compiler.as_sql()
        except EmptyResultSet:  # such as the lists of somebody who is tied to nobody
            sql, parameters = "", ()
        return cls(queryset, compiler, sql, tuple(parameters))

    def rows(self, given: Mapping[int, int]) -> list[Any]:
        """given: the key for each place that stands for one."""
        if not self.sql:
            return []
        parameters = [given.get(one, one) for one in self.parameters] if given else self.parameters
        compiler = copy(self.compiler)
        compiler.connection = connections[self.queryset.db]  # each thread has its own
        compiler.as_sql = lambda *_, **__: (self.sql, parameters)
        asked = self.queryset.all()
        asked.query.get_compiler = lambda *_, **__: compiler  # type: ignore[method-assign]
        return list(asked)
