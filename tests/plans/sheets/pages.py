"""Sheets to print: ordinary ones, and those that hold as much as anybody can put into them."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from plans.library import Intervention, load_library, tell_dose, tell_supervision
from plans.library.dose_words import span_words
from plans.sheets import FloorPoint, FloorSheet, FloorWork, PlanSheet, SheetWork, Then

DAY = dt.date(2026, 4, 14)
LATER = dt.date(2026, 5, 26)
PAIN = "Held: pain stops throws and loaded work until a clearance is recorded."


def length_of(one: Intervention) -> int:
    return len(" ".join((one.name, *one.instructions, *one.cautions)))


LONGEST = sorted(load_library(), key=length_of, reverse=True)
"""The library, the longest texts first."""


def work(one: Intervention, **changed) -> SheetWork:
    dose = one.dose_at(16) or next(iter(one.doses.values()))
    days = span_words(dose.days) if dose.days and not dose.words else ""
    told = SheetWork(
        one.name,
        tell_dose(dose),
        tell_supervision(dose),
        instructions=one.instructions,
        cautions=one.cautions,
        days=days,
    )
    return replace(told, **changed)


def plan(*works: SheetWork, **changed) -> PlanSheet:
    sheet = PlanSheet("us-letter", "Ikaika", "Riverbend Throwing", DAY, works, next_look=LATER if works else None)
    return replace(sheet, **changed)


def floor_work(one: Intervention, **changed) -> FloorWork:
    told = work(one)
    return replace(FloorWork(told.name, told.dose, told.supervision, told.cautions), **changed)


def floor(**changed) -> FloorSheet:
    sheet = FloorSheet(
        "us-letter",
        "Ikaika Brandvold",
        "Riverbend Throwing",
        DAY,
        facts=("16 y 2 m", "throws right", "6′1″", "178 lb"),
        state="Availability: full",
        points=(
            FloorPoint("Hip turn-in, front leg: short", "start here", "28°", "35 to 50", "12 Apr 2026, hands-on"),
            FloorPoint("Elbow flexion, plant: straight", "flag", "78°", "85 to 105", "10 Apr 2026, motion capture"),
            FloorPoint("Trunk tilt, release: far", "flag, recurring, 2 of 3", "−41°", "up to 30", "10 Apr 2026, video"),
        ),
        cues=("Sit less, go longer", "Chest to the catcher"),
        works=tuple(map(floor_work, LONGEST[:3])),
        changes=(
            Then("Hip turn-in, front leg", "24°", "2 Mar 2026", "28°", "12 Apr 2026"),
            Then("Elbow flexion", "78°", "2 Mar 2026"),
        ),
    )
    return replace(sheet, **changed)


def fullest_floor(**changed) -> FloorSheet:
    """As much as the application ever hands over, of texts as long as it takes."""
    note = "Ask before you start, and say how it went. " * 7
    full = floor(
        state="Pain: elbow, shoulder, forearm.",
        state_note="Throwing and loaded work are stopped. A clinician’s clearance is needed before the next throw. "
        * 2,
        points=tuple(replace(one, name=f"{one.name} and further words " * 2) for one in floor().points),
        cues=("Long words of a cue. " * 190,) * 5,
        works=tuple(floor_work(one, note=note[:300]) for one in LONGEST[:8]),
        left_out=3,
        changes=floor().changes * 3,
        throwing=("60 pitches on Sunday: three days of rest, open again on Thursday.",) * 3,
    )
    return replace(full, **changed)
