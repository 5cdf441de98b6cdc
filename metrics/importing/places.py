"""Who threw, on which day, in which session: one answer a row of the table."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from metrics.importing.cells import Cell, Unreadable, is_day_number, is_missing, parse_date, text_of
from metrics.importing.problems import ImportProblems
from metrics.importing.recipes import ATHLETE_ROLES, Recipe
from metrics.importing.throws import AthleteReference
from sessions.formats.layout import Column
from sessions.formats.problems import quote

OLDEST_SESSION = dt.date(1980, 1, 1)
OLDEST_BIRTH = dt.date(1920, 1, 1)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a row belongs. `athlete` is an index into the athletes found; `date` None when no column says."""

    athlete: int
    date: dt.date | None
    session_label: str


class PlaceFinder:
    """Reads the identity columns once and remembers what it has read: tables repeat themselves."""

    def __init__(
        self,
        columns: Mapping[str, Column],
        recipe: Recipe,
        problems: ImportProblems,
        today: dt.date | None,
    ) -> None:
        self.columns = columns
        self.recipe = recipe
        self.problems = problems
        self.today = today
        self.athletes: list[AthleteReference] = []
        self._by_identity: dict[tuple[object, ...], int] = {}

    def places(self, row_numbers: Sequence[int]) -> list[Place | None]:
        """One place a row; None for a row that cannot be placed, which is a problem by then."""
        athletes = self._athlete_of_rows(row_numbers)
        dates = self._dates_of_rows(row_numbers)
        labels = self._texts("session_label", len(row_numbers))
        known: dict[tuple[int, dt.date | None, str], Place] = {}
        places: list[Place | None] = []
        for athlete, date, label in zip(athletes, dates, labels, strict=True):
            if athlete is None or isinstance(date, Unreadable):
                places.append(None)
                continue
            key = (athlete, date, label)
            place = known.get(key)
            if place is None:
                place = known[key] = Place(*key)
            places.append(place)
        return places

    def _texts(self, role: str, count: int) -> list[str]:
        column = self.columns.get(role)
        if column is None:
            return [""] * count
        texts = {cell: "" if is_missing(cell) else text_of(cell) for cell in set(column.values)}
        return [texts[cell] for cell in column.values]

    def _athlete_of_rows(self, row_numbers: Sequence[int]) -> list[int | None]:
        roles = [role for role in (*ATHLETE_ROLES, "birth_date") if role in self.columns]
        named = [role for role in roles if role != "birth_date"]
        if not named:
            return [self._index_of(AthleteReference(), 0)] * len(row_numbers)
        letter = self.columns[named[0]].letter
        seen: dict[tuple[Cell, ...], int | None] = {}
        found: list[int | None] = []
        cells = zip(*(self.columns[role].values for role in roles), strict=True)
        for row, parts in zip(row_numbers, cells, strict=True):
            if parts in seen:
                index = seen[parts]
            else:
                reference = self._reference(dict(zip(roles, parts, strict=True)), row)
                index = None if reference.is_empty else self._index_of(reference, row)
                seen[parts] = index
            if index is None:
                self.problems.add("no_athlete", row=row, column=letter)
            found.append(index)
        return found

    def _reference(self, cells: Mapping[str, Cell], row: int) -> AthleteReference:
        texts = {role: "" if is_missing(cell) else text_of(cell) for role, cell in cells.items()}
        name = texts.get("athlete_name") or " ".join(
            filter(None, (texts.get("first_name", ""), texts.get("last_name", "")))
        )
        if name.count(",") == 1:  # "Reyes, Jordan"
            last, first = (part.strip() for part in name.split(","))
            name = f"{first} {last}".strip()
        born = self._birth_date(cells.get("birth_date"), row)
        return AthleteReference(texts.get("athlete_id", ""), " ".join(name.split()), born)

    def _birth_date(self, cell: Cell, row: int) -> dt.date | None:
        born = parse_date(cell, self.recipe.date_order)
        too_late = isinstance(born, dt.date) and self.today is not None and born >= self.today
        if isinstance(born, Unreadable) or too_late or (born is not None and born < OLDEST_BIRTH):
            letter = self.columns["birth_date"].letter
            self.problems.add("birth_date_unreadable", row=row, column=letter, cell=quote(text_of(cell)))
            return None
        return born

    def _index_of(self, reference: AthleteReference, row: int) -> int:
        """The athlete with this id, or without one with this name and birth date."""
        identity: tuple[object, ...] = (
            ("id", reference.external_id)
            if reference.external_id
            else ("name", reference.name.casefold(), reference.birth_date)
        )
        index = self._by_identity.get(identity)
        if index is None:
            index = self._by_identity[identity] = len(self.athletes)
            self.athletes.append(reference)
            return index
        before = self.athletes[index]
        if reference.name and before.name and reference.name.casefold() != before.name.casefold():
            names = {"name": quote(reference.name), "other": quote(before.name)}
            self.problems.add("two_names", row=row, id=quote(reference.external_id), **names)
        self.athletes[index] = replace(
            before,
            name=before.name or reference.name,
            birth_date=before.birth_date or reference.birth_date,
        )
        return index

    def _dates_of_rows(self, row_numbers: Sequence[int]) -> list[dt.date | Unreadable | None]:
        column = self.columns.get("date")
        if column is None:
            return [None] * len(row_numbers)
        first_rows: dict[Cell, list[int]] = {}
        for row, cell in zip(row_numbers, column.values, strict=True):
            first_rows.setdefault(cell, []).append(row)
        dates = {cell: self._date(cell, rows, column.letter) for cell, rows in first_rows.items()}
        return [dates[cell] for cell in column.values]

    def _date(self, cell: Cell, rows: Sequence[int], letter: str) -> dt.date | Unreadable:
        date = parse_date(cell, self.recipe.date_order)
        if isinstance(date, dt.date) and is_day_number(cell):
            said_date = f"{date:%-d %B %Y}"
            self.problems.add("day_number", row=rows[0], column=letter, cell=quote(text_of(cell)), date=said_date)
        if date is None:
            for row in rows:
                self.problems.add("no_date", row=row, column=letter)
            return Unreadable("no_date")
        code = date.code if isinstance(date, Unreadable) else self._odd_date(date)
        if not code:
            return date
        said = "the row was" if len(rows) == 1 else f"{len(rows)} rows were"
        self.problems.add(code, row=rows[0], column=letter, cell=quote(text_of(cell)), rows=said)
        return Unreadable(code)

    def _odd_date(self, date: dt.date) -> str:
        if self.today is not None and date > self.today:
            return "date_in_future"
        return "date_too_old" if date < OLDEST_SESSION else ""
