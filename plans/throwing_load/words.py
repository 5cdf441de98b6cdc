"""Throwing load in plain sentences, for coach and family: thrown, rest, open again, not known.

The guideline never has the last word: local rules win over it, and pain or a clinician's limits come before both.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from plans.throwing_load.guideline import Chart, Guideline
from plans.throwing_load.notes import doubts_of, notes_of
from plans.throwing_load.phrases import (
    capital,
    counted,
    days_of_rest,
    gap_sentence,
    number_word,
    on_day,
    pitches_of,
)
from plans.throwing_load.rest import Asked, Opening
from plans.throwing_load.summary import Span
from plans.throwing_load.year import Off, TimeOff, innings_limit

LOCAL_RULES_WIN = "Rules of the league or team win over this guideline."
CLINICIANS_COME_FIRST = "Pain, or limits set by a clinician, come before every number here."
STOPPED = "Throwing is stopped: it stays closed until it is cleared, whatever the guideline says."
CHART_WORDS = {
    Chart.CURRENT: "published youth guideline, current chart",
    Chart.ABOUT_2015: "published youth guideline, chart of about 2015, since replaced",
    Chart.CANADIAN: "published Canadian youth rule, as a local association posts it",
}


@dataclass(frozen=True, slots=True)
class LoadWords:
    """`main` is the one sentence; `notes` what qualifies it; `basis` where it is from; `precedence` what wins."""

    main: str
    notes: tuple[str, ...]
    basis: str
    precedence: tuple[str, str]


def load_words(
    opening: Opening,
    guideline: Guideline,
    local_rules: str = "",
    *,
    for_family: bool = False,
    is_stopped: bool = False,
) -> LoadWords:
    """All sentences of a day. `local_rules`: the facility's own text. A family reads fewer notes, the same numbers.

    `is_stopped`: by pain or a clinician; then no sentence calls a day open.
    """
    notes = [] if is_stopped else doubts_of(opening)
    notes += notes_of(opening, for_family=for_family)
    rules = " ".join(local_rules.split()).removesuffix(".")
    local = f"Rules here: “{rules}”. They win over this guideline." if rules else LOCAL_RULES_WIN
    return LoadWords(
        main=main_sentence(opening, guideline, is_stopped=is_stopped),
        notes=tuple(notes),
        basis=basis_sentence(opening.today, guideline),
        precedence=(local, STOPPED if is_stopped else CLINICIANS_COME_FIRST),
    )


def main_sentence(opening: Opening, guideline: Guideline, *, is_stopped: bool = False) -> str:
    """ "45 pitches on Tuesday: two days of rest, open again on Friday." """
    shown, gap = opening.shown, gap_sentence(opening.today, guideline)
    ready = "closed until throwing is cleared" if is_stopped else _open_words(opening)
    if shown is None:
        return gap or f"No pitches are entered in these days: {ready}."
    thrown = f"{pitches_of(shown)} {on_day(shown.day.date, opening.on)}"
    if shown.rest_days is None:
        own_gap = gap_sentence(shown, guideline)
        return f"{thrown}. {own_gap}" if opening.open_on is None else f"{thrown}. {own_gap} {capital(ready)}."
    because = opening.because
    if because is not None and because != shown:
        return f"{thrown}, {_inside_words(opening, because)}: {ready}."
    rest = days_of_rest(shown.rest_days, at_least=shown.at_least)
    return f"{thrown}: {rest}. {gap}" if opening.open_on is None else f"{thrown}: {rest}, {ready}."


def _inside_words(opening: Opening, because: Asked) -> str:
    """A rest that was not over when the pitches of the day were thrown."""
    asks = "asks" if because.day.total == 1 else "ask"
    rest = f"{pitches_of(because, inside=True)} {on_day(because.day.date, opening.on)} {asks} for"
    left = counted(opening.rest_left, "full day of it is", "full days of it are", in_words=True)
    return f"inside the rest that {rest}. {capital(left)} left"


def _open_words(opening: Opening) -> str:
    date = opening.open_on or opening.on
    if date != opening.on:
        day = on_day(date, opening.on)
        return f"open again not before {day.removeprefix('on ')}" if opening.vague else f"open again {day}"
    if opening.vague:
        return "open today at the earliest"
    return "open today as far as is entered" if opening.unknown else "open today"


def basis_sentence(asked: Asked, guideline: Guideline) -> str:
    """The daily maximum at this age, and which chart; where the chart holds no such age, the chart alone."""
    chart = capital(CHART_WORDS[guideline.chart])
    if asked.band is None:
        return f"{chart}: ages {guideline.ages[0]} to {guideline.ages[1]}."
    return f"{chart}: at age {asked.age} at most {asked.band.daily_max} pitches a day."


def span_sentence(span: Span) -> str:
    """ "At least 132 pitches in 7 days; nobody entered three of them." """
    length = (span.last - span.first).days + 1
    least = "" if span.is_whole else "at least "
    sentence = f"{least}{counted(span.total, 'pitch', 'pitches')} in {counted(length, 'day', 'days')}"
    if span.unknown_days:
        them = "it" if length == 1 else "them"
        sentence += f"; nobody entered {number_word(span.unknown_days)} of {them}"
    if span.without_number:
        sentence += f"; {counted(span.without_number, 'count has', 'counts have', in_words=True)} no number"
    return f"{capital(sentence)}."


def year_sentences(off: TimeOff) -> tuple[str, str]:
    """What the year's entered days tell of the four months off, and of the two in a row."""
    known = (
        f"In the last 12 months: pitches on {counted(off.throwing_days, 'day', 'days')}, "
        f"{counted(off.off_days, 'day', 'days')} entered as no throwing, {off.unknown_days} that nobody entered."
    )
    answers = {
        (Off.YES, Off.YES): "Four months were off, two of them in a row.",
        (Off.YES, Off.NO): "Four months were off, but no two of them in a row, which the guideline asks for.",
        (Off.YES, Off.CANT_TELL): "Four months were off; whether two were in a row can’t be told.",
    }
    both = (off.four_months, off.two_in_a_row)
    if off.four_months is Off.NO:
        return known, "Fewer than four months were off; the guideline asks for four, two of them in a row."
    if off.two_in_a_row is Off.NO:
        return known, answers.get(both, "No two months in a row were off, which the guideline asks for.")
    return known, answers.get(both, "Whether four months were off can’t be told from days that nobody entered.")


def year_reminders(age: int | None) -> Sequence[str]:
    """The guideline's other rules, which cannot be judged from counts of pitches; innings only to age 14."""
    reminders = [
        "One game a day.",
        "No pitching on a third day in a row.",
        "Not catcher when not pitching.",
        "At least four months a year without throwing, two or three of them in a row.",
    ]
    limit = innings_limit(age)
    return [*reminders, f"At age {age} at most {limit} innings in 12 months."] if limit else reminders


def day_name(date: datetime.date, today: datetime.date) -> str:
    """ "today", "Tuesday", "Tuesday 3 November": for a table's first column."""
    return on_day(date, today).removeprefix("on ")
