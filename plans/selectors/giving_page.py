"""The form of a new plan: each work with its dose for the age, its reasons, and what speaks against it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from athletes.models import Athlete
from plans.library import MOST_MINUTES, Dose, Intervention, Situation, reasons_against, stops, tell_dose
from plans.library.proposing import DAYS_A_WEEK
from plans.library.words import KINDS
from plans.models import InterventionVersion
from plans.selectors.library_now import library_now
from plans.selectors.needs import AthleteNeeds, needs_of
from plans.selectors.prescribed import prescriptions_of, work_of
from plans.selectors.reasons import ReasonOption, reason_options
from plans.selectors.situation import situation_of
from plans.services.prescribing import RUNNING

NO_CONSENT = "Consent is withdrawn: nothing new is given."


@dataclass(frozen=True, slots=True)
class Offered:
    """One work as it may be given. `stops`: why it may not be, whatever a coach thinks; then `dose` counts for nothing.

    `cautions`: what speaks against it and a coach may weigh.
    """

    version: InterventionVersion
    value: Intervention
    dose: Dose | None
    dose_words: str
    options: tuple[ReasonOption, ...]
    stops: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GivingPage:
    """`due`: the longest time after which one of them is looked at again. `too_long`: "" where a day holds it all."""

    works: tuple[Offered, ...]
    start: dt.date
    due: dt.date
    minutes: int
    too_long: str

    @property
    def is_stopped(self) -> bool:
        return any(one.stops for one in self.works)


def giving_page(athlete: Athlete, keys: Sequence[str], on: dt.date) -> GivingPage | None:
    """None for a key that the library has not, or has withdrawn."""
    library = library_now()
    if not keys or any(key not in library for key in keys):
        return None
    running = work_of(athlete, prescriptions_of(athlete), on)
    needs = needs_of(athlete)
    in_plan = {one.prescription.version.intervention.key for one in running}
    now = situation_of(athlete, on, is_provisional=needs.is_provisional, running=in_plan)
    works = _offered(athlete, [library[key] for key in keys], needs, now)
    weeks = max(one.value.recheck_weeks[1] for one in works)
    minutes = sum(one.dose.minutes for one in works if one.dose) + sum(one.minutes for one in running)
    return GivingPage(
        works=works,
        start=on,
        due=on + dt.timedelta(days=DAYS_A_WEEK * weeks),
        minutes=minutes,
        too_long=_too_long(minutes) if minutes > MOST_MINUTES else "",
    )


def may_be_given(athlete: Athlete, on: dt.date, words: str) -> list[Offered]:
    """The library by name, every word of `words` in it, with what speaks against each today; without reasons to tick.

    By kind, then in the library's order.
    """
    running = work_of(athlete, prescriptions_of(athlete), on)
    in_plan = {one.prescription.version.intervention.key for one in running}
    now = situation_of(athlete, on, running=in_plan)
    asked = words.casefold().split()
    found = [one for one in library_now().values() if all(word in one.name.casefold() for word in asked)]
    works = [_one(athlete, one, (), now) for one in found]
    return sorted(works, key=lambda one: KINDS.index(one.value.kind))


def _offered(
    athlete: Athlete, versions: Sequence[InterventionVersion], needs: AthleteNeeds, now: Situation
) -> tuple[Offered, ...]:
    options = reason_options(athlete, needs, [one.value for one in versions])
    return tuple(_one(athlete, one, mine, now) for one, mine in zip(versions, options, strict=True))


def _one(athlete: Athlete, version: InterventionVersion, options: tuple[ReasonOption, ...], now: Situation) -> Offered:
    value = version.value
    hard = list(stops(value, now))
    if athlete.consent_withdrawn_on is not None:
        hard.insert(0, NO_CONSENT)
    if value.key in now.running:
        hard.append(RUNNING.format(name=value.name))
    soft = [one for one in reasons_against(value, now) if one not in hard] if not hard else []
    dose = value.dose_at(now.age_years)
    return Offered(
        version=version,
        value=value,
        dose=dose,
        dose_words=tell_dose(dose) if dose else "",
        options=options,
        stops=tuple(hard),
        cautions=tuple(soft),
    )


def _too_long(minutes: int) -> str:
    return f"With what runs already a day takes up to {minutes} minutes. {MOST_MINUTES} is the most that is suggested."
