"""Where an athlete's training groups are in their year, on a date."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from athletes.models import Athlete, SeasonPhase, TrainingGroup


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
    groups = athlete.groups.prefetch_related("season_phases").order_by("name")
    return tuple(phase for group in groups if (phase := group_phase_on(group, on)))


def group_phase_on(group: TrainingGroup, on: dt.date) -> PhaseOn | None:
    """The latest row from that date or before that has not ended, as with availability."""
    row = phase_in_force(group.season_phases.all(), on)
    return None if row is None else PhaseOn(group.name, SeasonPhase.Phase(row.phase), row.valid_from, row.until)


def phase_in_force(rows: Iterable[SeasonPhase], on: dt.date) -> SeasonPhase | None:
    held = [row for row in rows if row.valid_from <= on and (row.until is None or row.until >= on)]
    return max(held, key=lambda row: row.valid_from, default=None)
