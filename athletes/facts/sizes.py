"""Height, mass and arm span on a date, from measurements that were made on others."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from athletes.facts.ages import is_minor
from athletes.facts.known import rows_of
from athletes.models import Athlete
from athletes.quantities import format_days_old

# House rules, no published source: a growing athlete's height moves by a few centimetres in half a year.
OLD_AFTER_DAYS = 180
BEFORE_FIRST_DAYS = 90
SIZE_FIELDS = ("date", "height_cm", "mass_kg", "arm_span_cm")


class How(StrEnum):
    MEASURED = "measured"
    INTERPOLATED = "interpolated"
    MEASURED_LATER = "measured_later"


@dataclass(frozen=True, slots=True)
class SizeOn:
    """One size on a date: `value` in cm or kg, the measurement it rests on, and how far away that is."""

    value: float
    on: dt.date
    measured_on: dt.date
    how: How = How.MEASURED

    @property
    def days(self) -> int:
        """Between the measurement and the date, either way."""
        return abs((self.on - self.measured_on).days)

    @property
    def is_old(self) -> bool:
        """Half a year has passed since the last measurement. Between two measurements nothing is old."""
        return self.how is How.MEASURED and self.days > OLD_AFTER_DAYS

    @property
    def age_words(self) -> str:
        """12 days old, today, measured 9 days later, between two measurements."""
        return (
            "between two measurements" if self.how is How.INTERPOLATED else format_days_old(self.measured_on, self.on)
        )


@dataclass(frozen=True, slots=True)
class SizesOn:
    """Each in cm or kg, or None when it was not measured."""

    height: SizeOn | None
    mass: SizeOn | None
    arm_span: SizeOn | None

    def of_basis(self, basis: str) -> SizeOn | None:
        """By the name that a range rule gives it: height, mass or arm_span."""
        return {"height": self.height, "mass": self.mass, "arm_span": self.arm_span}[basis]


Measurement = tuple[dt.date, float]


def size_on(measurements: list[Measurement], on: dt.date, *, grows: bool) -> SizeOn | None:
    """`measurements`: (date, cm or kg) in any order. In force is the latest at or before the date.

    With `grows` a value between two measurements is interpolated linearly. Before the first measurement that
    one counts when it was made within 90 days. None when nothing counts.
    """
    before = max((row for row in measurements if row[0] <= on), default=None)
    after = min((row for row in measurements if row[0] > on), default=None)
    if before is None:
        if after is None or (after[0] - on).days > BEFORE_FIRST_DAYS:
            return None
        return SizeOn(after[1], on, after[0], How.MEASURED_LATER)
    days = (on - before[0]).days
    if grows and after is not None and days > 0:
        share = days / (after[0] - before[0]).days
        return SizeOn(before[1] + share * (after[1] - before[1]), on, before[0], How.INTERPOLATED)
    return SizeOn(before[1], on, before[0])


def body_size_on(athlete: Athlete, on: dt.date) -> SizesOn:
    """Height, mass and arm span, each by its own measurements; under 18 the height is interpolated."""
    return sizes_by(rows_of(athlete, "body_sizes"), athlete.birth_date, on)


def sizes_by(rows: Sequence[Any], birth_date: dt.date, on: dt.date) -> SizesOn:
    """`body_size_on` by values. rows: with the names of SIZE_FIELDS, in any order; None where not measured."""
    growing = on >= birth_date and is_minor(birth_date, on)

    def one(field: str, grows: bool) -> SizeOn | None:
        values = [(row.date, getattr(row, field)) for row in rows]
        return size_on([row for row in values if row[1] is not None], on, grows=grows)

    return SizesOn(one("height_cm", growing), one("mass_kg", False), one("arm_span_cm", False))
