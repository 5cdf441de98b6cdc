"""Body sizes."""

from __future__ import annotations

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.models import Athlete, BodySize, User
from athletes.services.change_log import record_change
from athletes.services.facts_revision import raise_facts_revision
from athletes.services.validation import logged, require_finite, require_not_future, save_valid
from athletes.today import facility_today

# field: what it is called, unit, plausible from, to; the table's own constraints are the same.
SIZES = {
    "height_cm": ("height", "cm", 90, 230),
    "mass_kg": ("mass", "kg", 15, 200),
    "arm_span_cm": ("arm span", "cm", 90, 250),
}
# What a number outside its span may have been meant as: unit, factor. Exact by definition (NIST SP 811, B.8).
OTHER_UNITS = {
    "cm": (("feet", 30.48), ("inches", 2.54), ("metres", 100.0), ("millimetres", 0.1)),
    "kg": (("pounds", 0.45359237), ("grams", 0.001)),
}


@transaction.atomic
def record_body_size(
    *,
    athlete: Athlete,
    on: dt.date,
    by: User | None,
    height_cm: float | None = None,
    mass_kg: float | None = None,
    arm_span_cm: float | None = None,
    reason: str = "",
) -> BodySize:
    """What was measured on a date: height and arm span in cm, mass in kg.

    What was measured earlier on the same day stays where nothing new is given; what is replaced stands in the
    change log. Raises ValidationError for impossible numbers and for dates before the birth or after today.
    """
    sizes = {"height_cm": height_cm, "mass_kg": mass_kg, "arm_span_cm": arm_span_cm}
    given = {name: float(value) for name, value in sizes.items() if value is not None}
    _check(athlete, on, given)
    row = BodySize.objects.filter(athlete=athlete, date=on).first()
    before = logged(row, ("date", *SIZES))
    row = row or BodySize(athlete=athlete, date=on)
    for name, value in given.items():
        setattr(row, name, value)
    after = logged(row, ("date", *SIZES))
    if after == before:
        return row
    save_valid(row)
    record_change(
        by=by,
        action="body_size.recorded",
        row=athlete,
        athlete_uuid=athlete.uuid,
        before=before,
        after=after,
        reason=reason,
    )
    raise_facts_revision(athlete)
    return row


def _check(athlete: Athlete, on: dt.date, given: dict[str, float]) -> None:
    if not given:
        raise ValidationError("Give a height, a mass or an arm span.")
    require_not_future(on, facility_today(), "on", "A body size")
    if on < athlete.birth_date:
        raise ValidationError({"on": "A body size cannot be older than the athlete."})
    for name, value in given.items():
        require_finite(value, name, f"The {SIZES[name][0]}")
        _check_span(name, value)


def _check_span(name: str, value: float) -> None:
    what, unit, low, high = SIZES[name]
    if low <= value <= high:
        return
    meant = [other for other, factor in OTHER_UNITS[unit] if low <= value * factor <= high]
    question = f" Was it in {' or '.join(meant)}?" if meant else ""
    raise ValidationError({name: f"A {what} of {value:g} {unit} cannot be ({low} to {high} {unit}).{question}"})
