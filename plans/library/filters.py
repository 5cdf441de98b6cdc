"""Why an intervention is not for this athlete today: one function a rule, each giving a sentence or nothing."""

from __future__ import annotations

from collections.abc import Callable

from plans.library.model import Intervention
from plans.library.situation import Situation
from plans.library.words import AVAILABILITIES, BANDS, NEEDS_STAFF

HELD_BACK = ("limited", "return_to_throw", "stopped")


def reasons_against(one: Intervention, now: Situation) -> tuple[str, ...]:
    """Every sentence against it, the gravest first; empty where it may be suggested."""
    return tuple(sentence for rule in RULES if (sentence := rule(one, now)))


def open_pain(one: Intervention, now: Situation) -> str:
    """Pain stops all work but the way to a clinician."""
    if now.has_open_pain and one.kind != "referral":
        return "Pain is open: a clinician comes first, and no new work before a clearance."
    return ""


def throws(one: Intervention, now: Situation) -> str:
    if not one.has_throws:
        return ""
    if now.availability in ("limited", "stopped"):
        return f"No drill with throws while {AVAILABILITIES[now.availability]}."
    if now.is_growing_fast:
        return "No drill with throws while growing fast."
    if now.availability == "return_to_throw" and not one.is_return:
        return "While returning to throw, throws come from the graded return only."
    if "rest" in now.phases:
        return "No drill with throws in the rest from throwing."
    return ""


def return_without_need(one: Intervention, now: Situation) -> str:
    if one.is_return and now.availability != "return_to_throw":
        return "Only for somebody who is returning to throw."
    return ""


def load(one: Intervention, now: Situation) -> str:
    if one.is_loaded and now.availability == "stopped":
        return "No loaded work while stopped."
    return ""


def effort(one: Intervention, now: Situation) -> str:
    if one.effort == "full" and now.availability in HELD_BACK:
        return f"Nothing at full effort while {AVAILABILITIES[now.availability]}."
    return ""


def landing(one: Intervention, now: Situation) -> str:
    return "No hard landings while growing fast." if one.has_impact and now.is_growing_fast else ""


def provisional(one: Intervention, now: Situation) -> str:
    """Mobility, strength, referrals and drills of low effort only."""
    if now.is_provisional and one.kind == "drill" and one.effort == "full":
        return "No drill at full effort while the starting point is provisional."
    return ""


def age(one: Intervention, now: Situation) -> str:
    if one.dose_at(now.age_years) is not None:
        return ""
    bands = [BANDS[band] for band in BANDS if band in one.doses]
    first, last = bands[0][0], bands[-1][1]
    if last is None:
        return f"Not for this age: it is for {first} and older."
    return (
        f"Not for this age: it is for {first} to {last}."
        if first
        else f"Not for this age: it is for {last} and younger."
    )


def without_pain(one: Intervention, now: Situation) -> str:
    return "Only where something hurts." if one.needs_pain and not now.has_open_pain else ""


def away(one: Intervention, now: Situation) -> str:
    dose = one.dose_at(now.age_years)
    if now.availability == "away" and one.kind != "referral" and dose and dose.supervision in NEEDS_STAFF:
        return f"Away: it needs a {dose.supervision} beside the athlete."
    return ""


def season(one: Intervention, now: Situation) -> str:
    return next((one.not_in[phase] for phase in now.phases if phase in one.not_in), "")


def in_the_plan(one: Intervention, now: Situation) -> str:
    return "It is in the plan already." if one.key in now.running else ""


def hold(one: Intervention, now: Situation) -> str:
    """Why work that is in the plan already must not be done today; empty where it goes on.

    Pain stops throws and loaded work, whoever reports it, until a clearance; gentle work without load goes on. What
    may not be begun for another grave reason is held too.
    """
    if now.has_open_pain and (one.has_throws or one.is_loaded):
        return "Held: pain stops throws and loaded work until a clearance is recorded."
    found = next((sentence for rule in HOLDS if (sentence := rule(one, now))), "")
    return f"Held: {found[0].lower()}{found[1:]}" if found else ""


def stops(one: Intervention, now: Situation) -> tuple[str, ...]:
    """Reasons against beginning it that nobody overrules here; the others of `reasons_against` a coach may weigh."""
    return tuple(sentence for rule in STOPS if (sentence := rule(one, now)))


HOLDS: tuple[Callable[[Intervention, Situation], str], ...] = (throws, load, effort, landing)
STOPS: tuple[Callable[[Intervention, Situation], str], ...] = (open_pain, *HOLDS, return_without_need, age)

RULES: tuple[Callable[[Intervention, Situation], str], ...] = (
    open_pain,
    throws,
    load,
    effort,
    landing,
    return_without_need,
    age,
    without_pain,
    away,
    season,
    provisional,
    in_the_plan,
)
