"""What work can be changed for at a follow-up: the library's, as far as this athlete may do it today."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import OuterRef, Subquery

from athletes.models import Athlete
from plans.library import Dose, reasons_against, tell_dose, tell_supervision
from plans.models import InterventionVersion, Prescription
from plans.selectors.answered import is_flag_on, metrics_of, read_measured, with_reasons
from plans.selectors.situation import situation_of
from plans.services.prescribing import Reason
from sessions.models import CaptureSession


@dataclass(frozen=True, slots=True)
class ChangeOption:
    """`answers`: whether it is meant for one of the findings that the work answers now; `weeks` to its follow-up."""

    version: InterventionVersion
    name: str
    dose: Dose
    answers: bool
    weeks: int

    @property
    def value(self) -> str:
        return str(self.version.uuid)

    @property
    def words(self) -> str:
        """Hip turns, seated: 2 × 10, 5 days a week; with an adult"""
        return f"{self.name}: {tell_dose(self.dose)}; {tell_supervision(self.dose)}"


def change_options(prescription: Prescription, today: dt.date) -> list[ChangeOption]:
    """What may be given today and does not run already: what answers the same findings first, then by name."""
    athlete = Athlete.objects.with_facts().get(pk=prescription.athlete_id)
    open_work = Prescription.objects.open().filter(athlete=athlete).select_related("version__intervention")
    running = {one.version.intervention.key for one in open_work}
    now = situation_of(athlete, today, running=running)
    ends = {(one.metric, one.direction) for one in prescription.reasons.all()}
    found = []
    for version in latest_versions():
        value = version.value
        dose = value.dose_at(now.age_years)
        if dose is not None and value.key not in running and not reasons_against(value, now):
            answers = bool(ends & set(value.answers))
            found.append(ChangeOption(version, value.name, dose, answers, value.recheck_weeks[1]))
    return sorted(found, key=lambda one: (not one.answers, one.name))


def latest_versions() -> Iterable[InterventionVersion]:
    """Of every intervention that was not withdrawn, what the library says of it now."""
    newest = InterventionVersion.objects.filter(intervention=OuterRef("intervention")).order_by("-number")
    present = InterventionVersion.objects.filter(intervention__withdrawn_at=None)
    return present.filter(pk=Subquery(newest.values("pk")[:1])).select_related("intervention")


def reasons_now(prescription: Prescription, today: dt.date) -> list[Reason]:
    """What other work in its place is given for: the same findings, each by the session that raised it last.

    A flag that was seen again helped to decide on the change, so that it may not be the next baseline either.
    """
    row = with_reasons(Prescription.everything.filter(pk=prescription.pk)).get()
    measured = read_measured([row.athlete_id], metrics_of([row]))
    sessions = measured.sessions.get(row.athlete_id, ())
    found = []
    for one in row.reasons.all():
        flagged = [
            session
            for session in sessions
            if (finding := measured.findings.get((session.pk, one.metric)))
            and session.date <= today
            and is_flag_on(finding, one.direction)
            and _may_follow(session, one.session)
        ]
        last = flagged[-1] if flagged else one.session
        found.append(Reason(one.metric, one.direction, last, one.is_starting_point))
    return found


def _may_follow(session: CaptureSession, first: CaptureSession | None) -> bool:
    return first is None or (session.method == first.method and session.date >= first.date)
