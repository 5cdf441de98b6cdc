"""The sentences of the trends page. Numbers come written by the ruler; every word of an answer is plain English."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from itertools import pairwise

from athletes.words import counted, number_word
from metrics.change.answer import Moved
from metrics.change.individuals import individuals
from metrics.change.values import Word
from metrics.change.weeks import Course
from metrics.selectors.session_words import conditions_words, joined
from metrics.selectors.trends.answers import Answered, FlagCount
from metrics.selectors.trends.ranges import Step, causes_of, day_words
from metrics.selectors.trends.rows import Seen
from metrics.selectors.trends.ruler import Ruler
from metrics.selectors.trends.series import Series

DAYS_A_MONTH = 365.25 / 12
METHOD_WORDS = {"motion_capture": "motion capture", "video": "video", "hands_on": "hands-on"}
GAP_DAYS = 300
"""A pause as long as most of a year is said: a line across it speaks of nothing in between."""

MOST_NAMED = 3
NO_WORD = {Word.CANNOT_BE_JUDGED: "changing, with no target to hold it against"}


# ---- really changing ----------------------------------------------------------------------------------


def change_word(one: Answered) -> str:
    """better; can’t tell yet: 3 more sessions needed; what really changes without a target is said to be changing."""
    answer = one.answer
    if answer.word is Word.CANT_TELL:
        return f"{answer.word}: {counted(answer.more_needed, 'more session')} needed"
    if answer.word is Word.CANNOT_BE_JUDGED and answer.is_real:
        return NO_WORD[answer.word]
    return str(answer.word)


def change_numbers(one: Answered) -> str:
    """falling −1.3° a month; the difference from the first to the last where the word rests on these two."""
    answer = one.answer
    if answer.course is not None and not by_pair(one):
        slope = _for_slopes(one, answer.course).write(answer.course.slope_per_day * DAYS_A_MONTH, signed=True)
        return f"{_led(answer.direction)}{slope} a month"
    if answer.change is None or not math.isfinite(answer.change.difference):
        return ""
    difference = one.ruler.write(answer.change.difference, signed=True)
    return f"{answer.direction} {difference}" if answer.is_real else f"(so far {difference})"


def by_pair(one: Answered) -> bool:
    """Whether the word rests on the first session against the last although there is a course."""
    return one.answer.by is not None and one.answer.by is one.answer.change


def _led(direction: str) -> str:
    return f"{direction} " if direction else ""


def _for_slopes(one: Answered, course: Course) -> Ruler:
    """As many digits as the interval of the slope a month bears."""
    return one.ruler.finer(DAYS_A_MONTH * (course.high - course.low) / (2 * 1.96))


def change_interval(one: Answered) -> str:
    """(−1.6 to −0.5), of the slope a month; "" where the word does not rest on a course."""
    course = one.answer.course
    if course is None or by_pair(one):
        return ""
    ruler = _for_slopes(one, course)
    return f"({ruler.bare(course.low * DAYS_A_MONTH)} to {ruler.bare(course.high * DAYS_A_MONTH)})"


def change_why(one: Answered) -> str:
    """What the word rests on: over how many sessions, or between which two beside what measuring alone can bring."""
    answer, days = one.answer, sorted({point.date for point in one.points})
    if answer.course is not None and not by_pair(one):
        test = "more than chance brings" if answer.is_real else "no more than chance brings"
        return f"Over {counted(answer.course.sessions, 'session')} since {day_words(days[0])}: {test}."
    if answer.change is not None and math.isfinite(answer.detectable):
        least = one.ruler.write(answer.detectable)
        beside = "more than" if answer.is_real else "within"
        last = ", the last session against the first:" if answer.course else ","
        return f"Since {day_words(days[0])}{last} {beside} the ± {least} that measuring alone can bring."
    if answer.change is not None:
        return "How much this varies from session to session is not known, so two sessions cannot be compared."
    if days:
        return f"One comparable session, {day_words(days[0])}."
    return "No comparable session has a value."


# ---- in range -----------------------------------------------------------------------------------------


def range_numbers(one: Answered) -> str:
    """−7° ± 4, target 5 to 18, on 14 April 2026."""
    row, session = one.series.latest.row, one.series.latest.session
    if row.mean is None:
        return row.reason
    value = f"{one.ruler.write(row.mean, u=row.u)} {one.ruler.half_width(row.u)}".strip()
    target = one.ruler.span(row.target_low, row.target_high)
    parts = [value, f"target {target}" if target else row.reason.rstrip("."), f"on {day_words(session.date)}"]
    return ", ".join(part for part in parts if part)


# ---- athlete or range ---------------------------------------------------------------------------------


def moved_word(one: Answered) -> str:
    """The athlete moved. Where nothing was shown yet, that is said instead of *neither moved*."""
    if len({point.date for point in one.points}) < 2:
        return "It takes two comparable sessions to tell."
    if one.moved is Moved.NEITHER and one.answer.word in (Word.CANT_TELL, Word.CANNOT_BE_JUDGED):
        return "The range did not move."
    if one.moved is Moved.RANGE and one.answer.word in (Word.CANT_TELL, Word.CANNOT_BE_JUDGED):
        return "The range moved; of the athlete it can’t be told yet."
    return f"{str(one.moved).capitalize()}."


def moved_why(one: Answered) -> str:
    """The steps of the range: The target rose by 5° on 1 September 2025 with the level."""
    if not one.steps:
        return ""
    if len(one.steps) == 1:
        return _one_step(one, one.steps[0])
    first, last = one.stretches[0].row, one.stretches[-1].row
    start, end = one.ruler.span(first.target_low, first.target_high), one.ruler.span(last.target_low, last.target_high)
    course = f": the target was {start} and is {end}" if start and end and start != end else ""
    return f"The range moved {number_word(len(one.steps))} times, {causes_of(one.steps)}{course}."


def _one_step(one: Answered, step: Step) -> str:
    how = causes_of([step])
    if step.middle is None:
        return f"The range changed on {day_words(step.day)} {how}."
    size = one.ruler.write(abs(step.middle))
    if size == one.ruler.write(0.0):
        return f"The range was widened or narrowed on {day_words(step.day)} {how}."
    return f"The target {'rose' if step.middle > 0 else 'fell'} by {size} on {day_words(step.day)} {how}."


# ---- flag history -------------------------------------------------------------------------------------


def flag_words(count: FlagCount) -> str:
    """Low in 4 of the last 5; not flagged in the last 5."""
    if not count.among:
        return "Not scored yet."
    if count.among == 1:
        return f"{count.side.capitalize() if count.flags else 'Not flagged'} in the one session that was scored."
    last = f"the last {number_word(count.among)}"
    if not count.flags:
        return f"Not flagged in {last}."
    return f"{count.side.capitalize()} in {number_word(count.flags)} of {last}."


def flag_since(count: FlagCount, standing: str) -> str:
    """Recurring, 3 of 3. Flagged without a break since 18 November 2025."""
    said = f"{standing[:1].upper()}{standing[1:]}." if standing else ""
    if count.since is None or count.run < 2:
        return said
    return f"{said} Flagged without a break since {day_words(count.since.session.date)}.".strip()


# ---- around the chart ---------------------------------------------------------------------------------


def chart_name(one: Answered) -> str:
    """What a screen reader says of a chart; its numbers stand in a table."""
    face, days = one.series.face, [spot.session.date for spot in one.series.spots]
    when = day_words(days[0]) if days[0] == days[-1] else f"{day_words(days[0])} to {day_words(days[-1])}"
    return f"{face.label} over {counted(len(days), 'session')}, {when}. {change_word(one).capitalize()}."


def gap_words(days: Sequence[dt.date]) -> str:
    """No session for 14 months before 3 March 2026: the longest pause of most of a year or more."""
    pauses = [(after - before, after) for before, after in pairwise(days)]
    longest, after = max(pauses, default=(dt.timedelta(), None))
    if after is None or longest.days < GAP_DAYS:
        return ""
    return f"No session for {round(longest.days / DAYS_A_MONTH)} months before {day_words(after)}."


def outside_words(one: Answered) -> str:
    """Further off than the sessions before it let expect: 13 October 2026. By the individuals chart, from the seventh
    session on."""
    days = [day_words(point.date) for point in individuals(one.points) if point.is_outside]
    if not days:
        return ""
    few = days[-MOST_NAMED:]
    more = f"{len(days) - len(few)} earlier, " if len(days) > len(few) else ""
    return f"Further off than the sessions before let expect: {more}{joined(few)}."


def not_compared_words(series: Series) -> str:
    """2 findings stand apart: other conditions: flat ground."""
    apart = [spot for spot in series.spots if not spot.comparable]
    if not apart:
        return ""
    reasons = list(dict.fromkeys(spot.why_not for spot in apart))
    which = counted(len(apart), "finding")
    verb = "stands" if len(apart) == 1 else "stand"
    return f"{which} {verb} apart, drawn paler: {'; '.join(reasons)}."


def measured_words(method: str, sessions: Sequence[Seen]) -> str:
    """9 sessions, motion capture, mound, full effort, fastball, regulation ball: the conditions of the latest."""
    latest = next((one for one in reversed(sessions) if one.conditions_used and not one.for_orientation), None)
    conditions = conditions_words(latest.conditions_used) if latest and latest.conditions_used else ""
    parts = (counted(len(sessions), "session"), METHOD_WORDS.get(method, method), conditions)
    return ", ".join(part for part in parts if part)


def period_words(sessions: Sequence[Seen]) -> str:
    """February 2025 to April 2026."""
    first, last = f"{sessions[0].date:%B %Y}", f"{sessions[-1].date:%B %Y}"
    return first if first == last else f"{first} to {last}"


def by_chance_words(real: int, tested: int, expected: float, lost: Sequence[str]) -> str:
    """What to make of many metrics looked at together. `lost`: those called changing by themselves that do not stand
    at a false discovery rate of 10%."""
    if not tested:
        return ""
    if tested == 1:
        return f"One of these metrics could be tested; it is {'' if real else 'not '}called changing."
    of_them = f"{number_word(real)} of these {number_word(tested)} metrics" if real else "none of these metrics"
    called = f"{of_them.capitalize()} that could be tested {'are' if real > 1 else 'is'} called changing"
    chance = f"by chance about {expected:.1f} would be" if expected >= 0.05 else "by chance hardly one would be"
    if not real:
        return f"{called}; {chance}."
    return f"{called}; {chance}. Looked at all together, {_that_stand(real, lost)} (false discovery rate 10%)."


def _that_stand(real: int, lost: Sequence[str]) -> str:
    if not lost:
        return {1: "it stands", 2: "both stand"}.get(real, f"all {number_word(real)} stand")
    if len(lost) == real:
        return "it does not stand" if real == 1 else "none of them stands"
    return f"{joined(list(lost))} {'does' if len(lost) == 1 else 'do'} not stand"
