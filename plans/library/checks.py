"""What an intervention must keep to: one function a rule, each giving sentences; empty when all is well.

The same rules hold the shipped library and refuse one that an admin has edited, so each says what, where, what to do.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from itertools import pairwise

from metrics.catalogue import load_catalogue
from plans.library.dose_words import span_words
from plans.library.model import Dose, Intervention
from plans.library.words import (
    BAND_WORDS,
    BANDS,
    BASES,
    DIRECTIONS,
    EFFORTS,
    KINDS,
    LOADS,
    PHASES,
    STATUSES,
    SUPERVISIONS,
    WEIGHED_LOADS,
)

FEWEST_SENTENCES, MOST_SENTENCES = 3, 6
MOST_MINUTES = 15
"""A day, of one intervention as of a whole first plan. House rule."""
MOST_WEEKS = 26
"""Later than half a year nobody looks again. House opinion."""

KEY = re.compile(r"[a-z][a-z0-9_]*")
SENTENCE = re.compile(r"[A-Z][^.?!]*[.?!]")
SPANS = ("sets", "reps", "seconds", "throws", "work_minutes", "days")
SPAN_WORDS = {"work_minutes": "minutes", "days": "days a week"}


def problems_of(one: Intervention) -> list[str]:
    """Every sentence of every rule, in the order of the rules; empty when the intervention may be used."""
    return [f"{one.name or one.key}: {sentence}" for rule in RULES for sentence in rule(one)]


def has_key_and_name(one: Intervention) -> Iterator[str]:
    if not KEY.fullmatch(one.key):
        yield f"the key {one.key!r} may hold small letters, numbers and _ only. Change it."
    if not one.name.strip():
        yield "it has no name. Give it one."
    if not one.source.strip():
        yield "its source is empty. Name it, or write: common practice, no published source."


def words_are_known(one: Intervention) -> Iterator[str]:
    closed: tuple[tuple[str, str, Iterable[str]], ...] = (
        ("kind", one.kind, KINDS),
        ("effort", one.effort, EFFORTS),
        ("load", one.load, LOADS),
        ("status", one.status, STATUSES),
        *(("band of age", band, BANDS) for band in one.doses),
        *(("season phase", phase, PHASES) for phase in one.not_in),
        *(("supervision", dose.supervision, SUPERVISIONS) for dose in one.doses.values()),
        *(("basis of a dose", dose.basis, BASES) for dose in one.doses.values()),
    )
    for what, word, known in closed:
        if word not in known:
            yield f"{what} {word!r} is not one of {', '.join(known)}. Choose one of these."


def answers_what_is_worked_on(one: Intervention) -> Iterator[str]:
    """Metrics of the catalogue, in a direction; no outcome, no style."""
    metrics = load_catalogue().metrics
    if not one.answers:
        yield "it answers nothing. Name a metric and a direction that it is meant for."
    for key, direction in one.answers:
        if key not in metrics:
            yield f"the catalogue has no metric or screen {key!r}. Name one that it has."
        elif metrics[key].kind in ("outcome", "style"):
            yield f"{metrics[key].name} is {metrics[key].kind}, never worked on. Name what lies behind it."
        if direction not in DIRECTIONS:
            yield f"direction {direction!r} is not one of {', '.join(DIRECTIONS)}. Choose one of these."


def is_told_in_short_sentences(one: Intervention) -> Iterator[str]:
    if not FEWEST_SENTENCES <= len(one.instructions) <= MOST_SENTENCES:
        yield (
            f"{len(one.instructions)} sentences of instruction. "
            f"Write {FEWEST_SENTENCES} to {MOST_SENTENCES}, one step in each."
        )
    for text in (*one.instructions, *one.cautions):
        if not SENTENCE.fullmatch(text):
            yield f"{text!r} is not one sentence with a capital and a stop. Correct it."


def says_when_to_stop(one: Intervention) -> Iterator[str]:
    if one.kind == "referral":
        if not any(text.startswith("Do not ") for text in one.cautions):
            yield "it does not say what waits until somebody has looked. Add a caution that begins with: Do not"
    elif not any(text.startswith("Stop when ") for text in one.cautions):
        yield "it does not say when to stop. Add a caution that begins with: Stop when"


def throws_are_counted(one: Intervention) -> Iterator[str]:
    if one.has_throws and one.kind != "drill":
        yield "only a drill has throws. Make it a drill, or take the throws away."
    if one.is_return and not one.has_throws:
        yield "it is a return to throw without throws. Say that it has throws."
    for band, dose in one.doses.items():
        if dose.throws and not one.has_throws:
            yield f"{BAND_WORDS[band]}: the dose counts throws. Say that it has throws, or take them away."
        if one.has_throws and not (dose.throws or dose.words):
            yield f"{BAND_WORDS[band]}: the dose does not say how many throws. Add their number."


def doses_are_amounts(one: Intervention) -> Iterator[str]:
    if not one.doses:
        yield "it has no dose. Give one for at least one band of age."
    for band, dose in one.doses.items():
        for sentence in _wrong_amounts(one, dose):
            yield f"{BAND_WORDS[band]}: {sentence}"


def _wrong_amounts(one: Intervention, dose: Dose) -> Iterator[str]:
    for name in (*SPANS, "load_kg"):
        span = getattr(dose, name)
        if span is not None and not 0 < span[0] <= span[1]:
            what = SPAN_WORDS.get(name, name.replace("_", " in "))
            yield f"{span_words(span)} {what} is no dose. Give numbers above 0, the smaller one first."
    if dose.moves < 1:
        yield "a set has at least one movement. Correct the number of movements."
    if dose.sets and not (dose.reps or dose.seconds):
        yield "sets of nothing. Say how many repetitions, or how many seconds."
    if (dose.reps or dose.seconds) and not dose.sets:
        yield "the number of sets is missing. Add it."
    if not (dose.sets or dose.throws or dose.work_minutes or dose.words.strip()):
        yield "the dose is empty. Give sets, throws, minutes, or say it in words."
    if not (dose.days or dose.words.strip()):
        yield "the days a week are missing. Add them."
    if dose.days and dose.days[1] > 7:
        yield f"{dose.days[1]} days a week. A week has 7."
    if dose.load_kg and one.load not in WEIGHED_LOADS:
        yield f"a load in kg, and it works with {one.load}. Change one of the two."
    if dose.minutes > MOST_MINUTES:
        yield f"it takes {dose.minutes} minutes a day. {MOST_MINUTES} is the most."


def less_takes_no_time(one: Intervention) -> Iterator[str]:
    """What asks for less, and a referral, take nothing of the minutes of a day."""
    if one.is_restraint or one.kind == "referral":
        for band, dose in one.doses.items():
            if dose.minutes:
                yield f"{BAND_WORDS[band]}: {dose.minutes} minutes, and it asks for no work. Take the amounts away."


def bands_have_no_gap(one: Intervention) -> Iterator[str]:
    """What is for the younger and for the older is for those between them too."""
    there = [number for number, band in enumerate(BANDS) if band in one.doses]
    if there and len(there) != there[-1] - there[0] + 1:
        yield "a band of age between two others has no dose. Give it one, or take those away that lie beyond."


def younger_do_no_more(one: Intervention) -> Iterator[str]:
    """Nobody gets more than somebody older, of anything."""
    given = [(band, one.doses[band]) for band in BANDS if band in one.doses]
    for (band, younger), (other, older) in pairwise(given):
        for name in (*SPANS, "load_kg"):
            less, more = getattr(younger, name), getattr(older, name)
            if less and more and less[1] > more[1]:
                yield (
                    f"{span_words(less)} {SPAN_WORDS.get(name, name.replace('_', ' in '))} for {BAND_WORDS[band]} is "
                    f"more than {span_words(more)} for {BAND_WORDS[other]}. Lower it."
                )


def children_are_not_alone(one: Intervention) -> Iterator[str]:
    dose = one.doses.get("under_13")
    if dose and dose.supervision == "alone":
        yield "under 13: nobody of that age does it alone. Name an adult, a coach or a clinician."


def is_looked_at_again(one: Intervention) -> Iterator[str]:
    first, last = one.recheck_weeks
    if not 0 < first <= last <= MOST_WEEKS:
        yield (
            f"looked at again after {span_words(one.recheck_weeks)} weeks. "
            f"Give 1 to {MOST_WEEKS} weeks, the earlier one first."
        )


RULES: tuple[Callable[[Intervention], Iterable[str]], ...] = (
    has_key_and_name,
    words_are_known,
    answers_what_is_worked_on,
    is_told_in_short_sentences,
    says_when_to_stop,
    throws_are_counted,
    doses_are_amounts,
    less_takes_no_time,
    bands_have_no_gap,
    younger_do_no_more,
    children_are_not_alone,
    is_looked_at_again,
)
