"""What stands beside an athlete's time line: family, consent, groups, ids."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from athletes.facts import PhaseOn, group_phase_on, has_consent, open_pain_reports
from athletes.models import Athlete, Consent, Contact, ExternalId, Facility, Guardianship, PainReport


@dataclass(frozen=True, slots=True)
class GroupThen:
    """A training group of the athlete, and where it is in its year."""

    uuid: UUID
    name: str
    phase: PhaseOn | None


@dataclass(frozen=True, slots=True)
class RecordFacts:
    """`consent_missing`: nothing of this athlete may be taken in until somebody agrees."""

    groups: tuple[GroupThen, ...]
    guardians: tuple[Guardianship, ...]
    contacts: tuple[Contact, ...]
    consents: tuple[Consent, ...]
    external_ids: tuple[ExternalId, ...]
    open_pain: tuple[PainReport, ...]
    consent_missing: bool


def record_facts(athlete: Athlete, facility: Facility, today: dt.date) -> RecordFacts:
    return RecordFacts(
        groups=_groups(athlete, today),
        guardians=tuple(athlete.guardianships.select_related("guardian")),
        contacts=tuple(athlete.contacts.all()),
        consents=tuple(athlete.consents.select_related("text")),
        external_ids=tuple(athlete.external_ids.order_by("source", "value")),
        open_pain=tuple(open_pain_reports(athlete)),
        consent_missing=not has_consent(athlete, today, facility=facility),
    )


def _groups(athlete: Athlete, today: dt.date) -> tuple[GroupThen, ...]:
    rows = athlete.groups.prefetch_related("season_phases")
    return tuple(GroupThen(row.uuid, row.name, group_phase_on(row, today)) for row in rows)
