"""Queries that are put into SQL once and then asked again and again, on the pages that are opened most.

Putting a query into SQL takes the library three to five times as long as the database takes to answer it, and gives
the same text at each look.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field
from functools import cache, lru_cache, wraps
from typing import Any, ParamSpec
from uuid import UUID

from django.core.exceptions import EmptyResultSet
from django.db import connections
from django.db.models import QuerySet, UUIDField
from django.db.models.query import ValuesListIterable
from django.utils import timezone

from athletes.models.accounts import User

KEPT = 256
"""Wordings of one query, the last ones used: one for each role and day, or choice of a list."""
LEAST_ROOM = 16
FIRST_PLACE = -1_000_000_000
"""What stands in a wording for the keys that it is asked for; no row has such a key."""
READER_PLACE = -2_000_000_000
"""What stands in a wording for the reader's key."""

UUID_FIELD = UUIDField()
LASTING = ("BooleanField", "DateField", "DateTimeField", "UUIDField")
"""Kinds of columns whose values nobody can change, so that a value read before need not be made anew."""
VALUES_KEPT = 8192
"""Of each kind, the last ones read."""

_REMEMBERING: dict[tuple[str, str], Callable[[Any], Any]] = {}
"""By database and kind, so that as much is kept as there are kinds, not queries."""

Arguments = ParamSpec("Arguments")
Key = int | UUID
ColumnReader = Callable[[Iterable[Any], Any], Iterable[Any]]
"""Of the stored values of a column, with the connection."""


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
        given = dict[Key, Key]()
        for one in asked:
            given |= one.given
        return wording(_Asked(tuple(one.key for one in asked), tuple(one.stand_in for one in asked))).rows(given)

    return rows  # type: ignore[return-value]


@dataclass(frozen=True, slots=True)
class Keys:
    """Keys, numbers or UUIDs, that change from look to look. `make` puts `places` where they stand.

    A query takes one of numbers and one of UUIDs.
    """

    keys: tuple[Key, ...]

    @classmethod
    def of(cls, keys: Iterable[Key]) -> Keys:
        return cls(tuple(keys))

    @property
    def room(self) -> int:
        """One, or a power of two, so that few wordings serve any number of keys."""
        return 1 if len(self.keys) == 1 else max(LEAST_ROOM, 1 << max(len(self.keys) - 1, 0).bit_length())

    @property
    def are_uuids(self) -> bool:
        return bool(self.keys) and isinstance(self.keys[0], UUID)

    @property
    def places(self) -> list[Any]:
        numbers = range(FIRST_PLACE - self.room, FIRST_PLACE)
        return [UUID(int=-one) for one in numbers] if self.are_uuids else list(numbers)

    @property
    def filled(self) -> dict[Key, Key]:
        """The key in each place; a place that is left over asks for nobody."""
        places = self.places
        return dict(zip(places, (*self.keys, *places[len(self.keys) :]), strict=True))


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
    given: Mapping[Key, Key]


def _argument(argument: Any) -> _Argument:
    if isinstance(argument, Keys):
        return _Argument((argument.room, argument.are_uuids), argument, argument.filled)
    if isinstance(argument, User):
        kind = (argument.role, argument.is_active)
        return _Argument((*kind, timezone.localdate()), _somebody(*kind), {READER_PLACE: argument.pk})
    return _Argument(argument, argument, {})


@cache
def _somebody(role: str, is_active: bool) -> User:
    """Of whom nothing else can be asked: that would be looked up, and nobody is found."""
    known = {"id": READER_PLACE, "role": role, "is_active": is_active}
    names = [field.attname for field in User._meta.concrete_fields if field.attname in known]
    return User.from_db(None, names, [known[name] for name in names])


@dataclass(frozen=True, slots=True)
class _Wording:
    """`compiler` is the library's own, which knows the columns; `sql` is empty where nothing can be found.

    `readers`: of the columns that are stored otherwise than Python has them, by place.
    """

    queryset: QuerySet
    compiler: Any
    sql: str
    parameters: tuple[Any, ...]
    readers: dict[int, ColumnReader]

    @classmethod
    def of(cls, queryset: QuerySet) -> _Wording:
        compiler = queryset.query.get_compiler(queryset.db)
        try:
            sql, parameters = compiler.as_sql()
        except EmptyResultSet:  # such as the lists of somebody who is tied to nobody
            return cls(queryset, compiler, "", (), {})
        stored_otherwise = compiler.get_converters([column for column, *_ in compiler.select])
        readers = {place: _column_reader(queryset.db, *one) for place, one in stored_otherwise.items()}
        return cls(queryset, compiler, sql, tuple(parameters), readers)

    @property
    def are_plain(self) -> bool:
        """Rows of the model alone, without what is joined, added or prefetched."""
        query = self.queryset.query
        prefetched = self.queryset._prefetch_related_lookups  # type: ignore[attr-defined]
        return not (query.select_related or query.annotation_select or prefetched)

    def rows(self, given: Mapping[Key, Key]) -> list[Any]:
        """given: the key for each place that stands for one."""
        if not self.sql:
            return []
        connection = connections[self.queryset.db]  # each thread has its own
        stored = {_stored(place, connection): _stored(key, connection) for place, key in given.items()}
        parameters = [stored.get(one, one) for one in self.parameters]
        if self.queryset._iterable_class is ValuesListIterable:
            return self._tuples(connection, parameters)
        if self.are_plain:
            model, names = self.queryset.model, [column.target.attname for column, *_ in self.compiler.select]
            return [model.from_db(self.queryset.db, names, row) for row in self._tuples(connection, parameters)]
        compiler = copy(self.compiler)
        compiler.connection = connection
        compiler.as_sql = lambda *_, **__: (self.sql, parameters)
        asked = self.queryset.all()
        asked.query.get_compiler = lambda *_, **__: compiler  # type: ignore[method-assign]
        return list(asked)

    def _tuples(self, connection: Any, parameters: list[Any]) -> list[tuple[Any, ...]]:
        """As the library gives them, by a shorter way."""
        with connection.cursor() as cursor:
            cursor.execute(self.sql, parameters)
            found = cursor.fetchall()
        if not self.readers or not found:
            return found
        columns: list[Iterable[Any]] = list(zip(*found, strict=True))
        for place, read in self.readers.items():
            columns[place] = read(columns[place], connection)
        return list(zip(*columns, strict=True))


def _column_reader(alias: str, converters: Sequence[Callable[..., Any]], column: Any) -> ColumnReader:
    """Applies the library's own converters of a column to all its values."""

    def read(values: Iterable[Any], connection: Any) -> Iterable[Any]:
        for convert in converters:
            values = [convert(value, column, connection) for value in values]
        return values

    kind = column.output_field.get_internal_type()
    is_of_its_kind = converters == connections[alias].ops.get_db_converters(column)
    if kind not in LASTING or not is_of_its_kind:  # what the field or an expression does beside may be anything
        return read

    @lru_cache(VALUES_KEPT)
    def remembered(value: Any) -> Any:
        (found,) = read((value,), connections[alias])
        return found

    remembering = _REMEMBERING.setdefault((alias, kind), remembered)
    return lambda values, _: map(remembering, values)


def _stored(key: Key, connection: Any) -> Any:
    """As the database's driver is given it."""
    return UUID_FIELD.get_db_prep_value(key, connection) if isinstance(key, UUID) else key
