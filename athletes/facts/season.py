"""Where an athlete's training groups are in their year, on a date."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import QuerySet

from athletes.models import Athlete, SeasonPhase, TrainingGroup
from athletes.worded import Keys, worded_once


@dataclass(frozen=True, slots=True)
class PhaseOn:
    """The phase of one group; `until` is empty while nothing ends it."""

    group: str
    phase: SeasonPhase.Phase
    since: dt.date
    until: dt.date | None

    @property
    def words(self) -> str:
        """off season, to 3 Jan 2027; the year only where it is another one than that of the beginning"""
        if self.until is None:
            return str(self.phase.label)
        year = f" {self.until.year}" if self.until.year != self.since.year else ""
        return f"{self.phase.label}, to {self.until.day} {self.until:%b}{year}"


def season_phase_on(athlete: Athlete, on: dt.date) -> tuple[PhaseOn, ...]:
    """Of each of the athlete's groups that has a phase on that date, by the group's name."""
    phases: dict[str, list[SeasonPhase]] = {}
    for row in _phases(Keys.of([athlete.pk])):
        phases.setdefault(row.group.name, []).append(row)
    return tuple(phase for name, rows in phases.items() if (phase := _phase(name, rows, on)))


@worded_once
def _phases(athletes: Keys) -> QuerySet:
    rows = SeasonPhase.objects.filter(group__athletes__in=athletes.places)
    return rows.select_related("group").order_by("group__name", "pk")


def group_phase_on(group: TrainingGroup, on: dt.date) -> PhaseOn | None:
    """The latest row from that date or before that has not ended, as with availability."""
    return _phase(group.name, group.season_phases.all(), on)


def _phase(group: str, rows: Iterable[SeasonPhase], on: dt.date) -> PhaseOn | None:
    row = phase_in_force(rows, on)
    return None if row is None else PhaseOn(group, SeasonPhase.Phase(row.phase), row.valid_from, row.until)


def phase_in_force(rows: Iterable[SeasonPhase], on: dt.date) -> SeasonPhase | None:
    held = [row for row in rows if row.valid_from <= on and (row.until is None or row.until >= on)]
    return max(held, key=lambda row: row.valid_from, default=None)
