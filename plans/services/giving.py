"""Giving a plan of several works at once: all of them, or none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.models import Athlete, User
from plans.models import InterventionVersion, Prescription
from plans.services.prescribing import Order, Reason, give_work

TAKEN = "The library was changed since you opened this form. Look at the dose and the cautions again, then give it."


@dataclass(frozen=True, slots=True)
class PlannedWork:
    """One work of a plan. `is_newest`: whether the form showed the library's newest version of it."""

    version: InterventionVersion
    order: Order
    reasons: Sequence[Reason]
    is_newest: bool = True


class PlanRefused(Exception):
    """Nothing was given. `errors`: by the place of the work, what stands against it."""

    def __init__(self, errors: Mapping[int, ValidationError]) -> None:
        super().__init__(f"refused: {', '.join(map(str, errors))}")
        self.errors = errors


@transaction.atomic
def give_plan(*, athlete: Athlete, works: Sequence[PlannedWork], by: User) -> list[Prescription]:
    """Raises PlanRefused with the sentences of every work that cannot be given."""
    given, errors = [], {}
    for place, work in enumerate(works):
        try:
            if not work.is_newest:
                raise ValidationError(TAKEN)
            given.append(
                give_work(athlete=athlete, version=work.version, order=work.order, reasons=work.reasons, by=by)
            )
        except ValidationError as error:
            errors[place] = error
    if errors:
        raise PlanRefused(errors)
    return given
