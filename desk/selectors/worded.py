"""Queries that are put into SQL once and then asked again and again.

Putting a query of the first page into SQL takes the library three to five times as long as the database takes to
answer it, and gives the same text at each look.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from copy import copy
from dataclasses import dataclass, field
from functools import lru_cache, wraps
from typing import Any, ParamSpec

from django.core.exceptions import EmptyResultSet
from django.db import connections
from django.db.models import QuerySet

from athletes.models import User

KEPT = 256
"""Wordings of one query, the last ones used: one for each reader and day, or choice of a list."""
LEAST_ROOM = 16
FIRST_PLACE = -1_000_000_000
"""What stands in a wording for the keys that it is asked for; no row has such a key."""

Arguments = ParamSpec("Arguments")
Rows = list[tuple[Any, ...]]


def worded_once(make: Callable[Arguments, QuerySet]) -> Callable[Arguments, Rows]:
    """Decorates a function that gives a queryset of plain values (`values_list`): its rows instead.

    All that the query depends on must be an argument, dates too, and hashable: equal arguments ask the same SQL again.
    Primary keys are given as `Keys`: not they are remembered but only how many have room.
    `make` must read neither the database nor a clock. Of a reader counts what `visible_to` asks: who, in which role.
    """

    @lru_cache(KEPT)
    def wording(asked: _Asked) -> _Wording:
        return _Wording.of(make(*asked.arguments))  # type: ignore[call-arg]

    @wraps(make)
    def rows(*arguments: Any) -> Rows:
        given = dict[int, int]()
        for argument in arguments:
            given |= argument.filled if isinstance(argument, Keys) else {}
        return wording(_Asked(tuple(map(_key, arguments)), arguments)).rows(given)

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


def _key(argument: Any) -> Hashable:
    if isinstance(argument, Keys):
        return argument.room
    return (argument.pk, argument.role, argument.is_active) if isinstance(argument, User) else argument


@dataclass(frozen=True, slots=True)
class _Wording:
    """`compiler` is the library's own, which knows the columns; `sql` is empty where nothing can be found."""

    database: str
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
        return cls(queryset.db, compiler, sql, tuple(parameters))

    def rows(self, given: Mapping[int, int]) -> Rows:
        """given: the key for each place that stands for one."""
        if not self.sql:
            return []
        compiler = copy(self.compiler)
        compiler.connection = connections[self.database]  # each thread has its own
        with compiler.connection.cursor() as cursor:
            cursor.execute(self.sql, [given.get(one, one) for one in self.parameters] if given else self.parameters)
            return list(compiler.results_iter([cursor.fetchall()], tuple_expected=True))
