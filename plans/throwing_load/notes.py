"""What qualifies the one sentence: days that nobody entered, too many, added twice, a broken rest, from memory."""

from __future__ import annotations

from plans.throwing_load.phrases import capital, counted, joined, number_word, on_day
from plans.throwing_load.rest import Asked, Opening, State

NAMED_DAYS = 3
"""So many days are named; more are counted."""


def doubts_of(opening: Opening) -> list[str]:
    """Why it may open later: days that nobody entered, and days of which only the least is known."""
    return [note for note in (_unknown(opening), _vague(opening)) if note]


def _unknown(opening: Opening) -> str:
    if not opening.unknown:
        return ""
    days = [on_day(date, opening.on).removeprefix("on ") for date in opening.unknown]
    reach = (opening.on - opening.unknown[0]).days
    if len(days) <= NAMED_DAYS:
        named = joined(days)
    else:
        named = f"{'' if len(days) == reach else number_word(len(days)) + ' of '}the last {number_word(reach)} days"
    return f"Nobody entered {named}: with pitches then, it may open later."


def notes_of(opening: Opening, *, for_family: bool) -> list[str]:
    """The notes in order of weight. A family is spared those on how counts were put together."""
    shown = opening.shown
    notes = [_third_day(opening), _broken(opening)]
    if shown is not None:
        notes += [_over(shown), _memory(opening), _games(shown, opening), _midnight(shown)]
    notes.append(_birthday(opening))
    if shown is not None and not for_family:
        notes += _added(shown, opening)
    return [note for note in notes if note]


def _third_day(opening: Opening) -> str:
    if opening.today.day.threw and opening.state is State.THIRD_DAY:
        return "Today is a third day in a row with pitches; the guideline asks for no third."
    return "That makes two days in a row; the guideline asks for no third." if opening.put_off else ""


def _vague(opening: Opening) -> str:
    days = [date for date in opening.vague if opening.shown is None or date != opening.shown.day.date]
    if not days:
        return ""
    named = joined([on_day(date, opening.on) for date in days[-NAMED_DAYS:]])
    return f"Of the pitches {named} the guideline only tells the least rest: it may open later."


def _broken(opening: Opening) -> str:
    """Not the day of the main sentence, where that says so itself."""
    is_said = opening.because is not None and opening.because != opening.shown
    said = opening.shown.day.date if is_said and opening.shown is not None else None
    days = [on_day(date, opening.on) for date in opening.broken if date != said][-NAMED_DAYS:]
    if not days:
        return ""
    return f"Pitches {joined(days)} fell inside a rest; only full days count, so what was left began after them."


def _over(shown: Asked) -> str:
    if not shown.over or shown.band is None:
        return ""
    most = shown.band.daily_max
    return f"{shown.over} more than the {most} a day at age {shown.age}; the guideline names no rest for so many."


def _memory(opening: Opening) -> str:
    """Of the day in the sentence, else of the day whose rest still runs."""
    rows = ((one, one.row) for one in (opening.shown, opening.because) if one is not None)
    for one, row in rows:
        if row is not None and row.is_from_memory:
            rest = counted(row.rest_days, "day", "days", in_words=True)
            return (
                f"That {one.day.total} pitches ask for {rest} at age {one.age} is from memory: check it in the chart."
            )
    return ""


def _games(shown: Asked, opening: Opening) -> str:
    if shown.day.games < 2:
        return ""
    day = on_day(shown.day.date, opening.on)
    return f"{capital(number_word(shown.day.games))} games {day}; the guideline says one game a day."


def _midnight(shown: Asked) -> str:
    if not shown.day.ran_past_midnight:
        return ""
    return "It ran past midnight: all its pitches count for the day it began, and the next day is no full day of rest."


def _birthday(opening: Opening) -> str:
    because = opening.because
    if because is None or opening.today.band == because.band:
        return ""
    return f"The rest goes by age {because.age}, the age on the day of the pitches."


def _added(shown: Asked, opening: Opening) -> list[str]:
    day, name = shown.day, on_day(shown.day.date, opening.on)
    parts = [
        f"{number} {words}"
        for number, words in (
            (day.entered, "entered"),
            (day.session, "counted in sessions"),
            (day.drill, "counted in drills"),
        )
        if number
    ]
    notes = []
    if len(parts) > 1:
        notes.append(f"{capital(joined(parts))} are added together; take one away where they are the same throws.")
    if day.outings > 1:
        notes.append(f"{capital(number_word(day.outings))} outings {name} are judged as one day.")
    if day.says_none:
        notes.append(f"{capital(name)} “no throwing” was entered, and pitches too: change one of them.")
    if not day.was_entered:
        notes.append(f"Only what was counted here: nobody entered other throwing {name}.")
    return notes
