"""What a table says: sessions seen through columns, with what is missing, and which readings are right."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from tests.corpus.columns import Column
from tests.corpus.people import Person, Session, Throw

Value = str | Decimal | date | None
Grid = list[list[Value]]
Place = tuple[str, int, str]
"""Person's name, number of the throw, metric: on every day the same."""


@dataclass(frozen=True, slots=True)
class Expected:
    """One reading: athlete as the table names them, value in the storage unit, moment as in the catalogue.

    A moment of landing is written ``fp`` here; which landing the capture room means is the file's ``landing``.
    """

    athlete: str
    day: date
    throw: int
    metric: str
    value: float
    moment: str


@dataclass(frozen=True, slots=True)
class Told:
    """Sessions and the columns that a table has of them. ``gaps`` says what stands where nothing was measured."""

    sessions: Sequence[Session]
    columns: Sequence[Column]
    gaps: Mapping[Place, Value] = field(default_factory=dict)
    by_code: bool = False

    def athlete(self, person: Person) -> str:
        """What the table calls a person."""
        return person.code if self.by_code else person.name

    def cell(self, session: Session, throw: Throw, column: Column) -> Value:
        """A number as written, or what stands in its place."""
        place = (session.person.name, throw.number, column.metric)
        return self.gaps[place] if place in self.gaps else column.written(throw.values[column.metric])

    def row(self, session: Session, throw: Throw) -> list[Value]:
        """All columns of one throw."""
        return [self.cell(session, throw, column) for column in self.columns]

    def throws(self) -> Iterator[tuple[Session, Throw]]:
        """Every throw with its session, in order."""
        return ((session, throw) for session in self.sessions for throw in session.throws)

    def expected(self, moments: Mapping[str, str]) -> list[Expected]:
        """The readings, computed from the numbers as they were written; ``moments`` by metric."""
        return [
            Expected(
                self.athlete(session.person),
                session.day,
                throw.number,
                column.metric,
                column.kept(number),
                moments[column.metric],
            )
            for session, throw in self.throws()
            for column in self.columns
            if isinstance(number := self.cell(session, throw, column), Decimal)
        ]
