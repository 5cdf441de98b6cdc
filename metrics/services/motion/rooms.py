"""What the computation is told of a room and of who throws in it."""

from __future__ import annotations

import datetime as dt

from athletes.facts import age_on, body_size_on
from athletes.models import Athlete, Throws
from metrics.measuring.room import Room, Thrower
from sessions.models import CaptureSetup, Throw

CM, MILLIMETRES, GRAMS = 100.0, 1000.0, 1000.0
SEX_WORDS = {"woman": "female", "man": "male"}


def room_of(setup: CaptureSetup | None, person: str = "") -> Room:
    """The setup as plain values; without one everything is found from the file and the usual filter is taken."""
    if setup is None:
        return Room(person=person)
    height = setup.foot_marker_height_mm
    return Room(
        names=setup.names,
        home=setup.home,
        up=setup.up,
        unit=setup.unit,
        filter_hz=setup.filter_hz if setup.is_filtered else None,
        uses_plates=setup.uses_plates,
        foot_marker_height_m=None if height is None else height / MILLIMETRES,
        person=person,
    )


def setups_in_use() -> list[CaptureSetup]:
    return list(CaptureSetup.objects.filter(retired_at=None))


def thrower_of(athlete: Athlete | None, date: dt.date | None, side: str = "", throw: Throw | None = None) -> Thrower:
    """What is known of a person on a date; `side` where a session says it already."""
    if athlete is None:
        return Thrower()
    size = body_size_on(athlete, date) if date else None
    known_side = side or (athlete.throws if athlete.throws != Throws.BOTH else "")
    return Thrower(
        height_m=round(size.height.value / CM, 4) if size and size.height else None,
        mass_kg=size.mass.value if size and size.mass else None,
        side=known_side or None,
        sex=SEX_WORDS.get(athlete.sex),
        age_years=float(age_on(athlete.birth_date, date).years) if date and date > athlete.birth_date else None,
        ball_kg=throw.ball_mass_g / GRAMS if throw and throw.ball_mass_g else None,
    )


def thrower_now(throw: Throw) -> Thrower:
    """For whom a stored throw is measured: what is known today of its athlete on the session's date."""
    capture = throw.session
    return thrower_of(capture.athlete, capture.date, capture.throwing_side, throw)
