"""What the athlete may do on a date, open pain, and consent."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from athletes.facts.ages import age_on
from athletes.facts.known import rows_of
from athletes.models import Athlete, Availability, Facility, PainReport


@dataclass(frozen=True, slots=True)
class AvailabilityOn:
    """`state` is empty when nothing was ever recorded."""

    state: str
    word: str
    since: dt.date | None = None
    until: dt.date | None = None
    limits: str = ""

    @property
    def words(self) -> str:
        return f"{self.word}: {self.limits}" if self.limits else self.word


NOT_RECORDED = AvailabilityOn("", "not recorded")
STATE_WORDS = dict(Availability.State.choices)


@dataclass(frozen=True, slots=True)
class Stopped:
    """Why throwing and loaded work are stopped, and since when. `reason` for a list, the rest for a banner."""

    reason: str
    since: dt.date
    is_pain: bool
    headline: str
    note: str


def availability_on(athlete: Athlete, on: dt.date) -> AvailabilityOn:
    """The latest row from that date or before that has not ended; pain is a matter of `stopped_on`."""
    held = [
        row
        for row in rows_of(athlete, "availabilities")
        if row.valid_from <= on and (row.until is None or row.until >= on)
    ]
    row = max(held, key=lambda row: row.valid_from, default=None)
    return NOT_RECORDED if row is None else availability_of(row.state, row.valid_from, row.until, row.limits)


def availability_of(state: str, since: dt.date | None, until: dt.date | None, limits: str) -> AvailabilityOn:
    """A row that is in force, by its values; `state` is empty for nobody's row."""
    return AvailabilityOn(state, STATE_WORDS[state], since, until, limits) if state else NOT_RECORDED


def open_pain_reports(athlete: Athlete) -> list[PainReport]:
    """Reports without a clearance, the newest first."""
    known = getattr(athlete, "known_open_pain", None)
    return list(athlete.pain_reports.open()) if known is None else list(known)


def stopped_on(athlete: Athlete, on: dt.date) -> Stopped | None:
    """Open pain stops whatever the availability says; so does an availability of *stopped*."""
    pain = [(row.where, row.reported_on) for row in open_pain_reports(athlete)]
    return stopped_by(pain, availability_on(athlete, on))


def stopped_by(pain: Sequence[tuple[str, dt.date]], held: AvailabilityOn) -> Stopped | None:
    """`stopped_on` by values. pain: where and since when of each open report, the newest first."""
    if pain:
        places = ", ".join(dict.fromkeys(where for where, _ in pain))
        since = min(reported_on for _, reported_on in pain)
        note = "Throwing and loaded work are stopped. A clinician’s clearance is needed before the next throw."
        return Stopped(f"pain: {places}", since, True, f"Pain: {places}.", note)
    if held.state != Availability.State.STOPPED or held.since is None:
        return None
    return Stopped("stopped", held.since, False, "Throwing and loaded work are stopped.", held.limits)


def has_consent(athlete: Athlete, on: dt.date, *, facility: Facility | None = None) -> bool:
    """Whether the athlete's data may be processed on a date.

    Under the facility's age of consent a recorded consent is needed. Of age, none is; but a consent that was
    withdrawn and not given again still stops.
    """
    rows = [row for row in rows_of(athlete, "consents") if row.given_on <= on]
    if any(row.withdrawn_on is None or row.withdrawn_on > on for row in rows):
        return True
    if rows:
        return False
    limit = (facility or Facility.current()).age_of_consent
    return age_on(athlete.birth_date, on).years >= limit
