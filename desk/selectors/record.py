"""What stands beside an athlete's time line: family, consent, groups, ids."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from athletes.facts import has_consent, open_pain_reports
from athletes.models import Athlete, Consent, Contact, ExternalId, Facility, Guardianship, PainReport


@dataclass(frozen=True, slots=True)
class RecordFacts:
    """`consent_missing`: nothing of this athlete may be taken in until somebody agrees."""

    groups: tuple[str, ...]
    guardians: tuple[Guardianship, ...]
    contacts: tuple[Contact, ...]
    consents: tuple[Consent, ...]
    external_ids: tuple[ExternalId, ...]
    open_pain: tuple[PainReport, ...]
    consent_missing: bool


def record_facts(athlete: Athlete, facility: Facility, today: dt.date) -> RecordFacts:
    return RecordFacts(
        groups=tuple(athlete.groups.values_list("name", flat=True)),
        guardians=tuple(athlete.guardianships.select_related("guardian")),
        contacts=tuple(athlete.contacts.all()),
        consents=tuple(athlete.consents.select_related("text")),
        external_ids=tuple(athlete.external_ids.order_by("source", "value")),
        open_pain=tuple(open_pain_reports(athlete)),
        consent_missing=not has_consent(athlete, today, facility=facility),
    )
