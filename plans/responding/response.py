"""What a re-measurement says of one prescription."""

from __future__ import annotations

import datetime
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace

from metrics.change.days import one_a_day
from metrics.change.pair import Change, change_between
from metrics.change.values import Measurement, Word, distance_to, was_seen
from plans.responding.baseline import baseline_of, unshrunk
from plans.responding.values import Baseline, FindingResponse, Flag, Reason, ResponseWord, Seen, Source, Term

ENOUGH_THROWS = 5
"""From so many throws on, at both ends, the athlete's own spread is known well enough. House default, by simulation."""

LEVELS = {(False, True): 0.04, (False, False): 0.025, (True, True): 0.02, (True, False): 0.01}
"""(baseline estimated, enough throws) → p at or below which a change counts. Set so that athletes without any true
change are called better in at most 3%: a flag also picks those who scatter more than the catalogue says, most of all
with few throws. Stricter than the 5% at which two sessions otherwise count as different. House default, by simulation
(docs/responses.md)."""

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


@dataclass(frozen=True, slots=True)
class Answered:
    """One finding that a prescription answers, with the athlete's other sessions in which the metric may stand."""

    flag: Flag
    raised_by: Seen
    sessions: Sequence[Seen]
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class Work:
    """A prescription as far as it may stand in another's way. `ended`: its last day, None while it is open."""

    key: Hashable
    flags: frozenset[Flag]
    start: datetime.date
    ended: datetime.date | None = None


@dataclass(frozen=True, slots=True)
class Response:
    """The response of one prescription. `decides` gives the word, `beside` are the other findings that it answers.

    `running_beside`: keys of other prescriptions that answered the deciding finding in the same weeks.
    """

    decides: FindingResponse
    beside: tuple[FindingResponse, ...]
    running_beside: tuple[Hashable, ...]

    @property
    def word(self) -> ResponseWord | None:
        """The one word; None while nothing has been measured."""
        return self.decides.word

    @property
    def stays_due(self) -> bool:
        """Whether the follow-up still needs its measurement."""
        return self.decides.stays_due

    @property
    def works_words(self) -> str:
        """“with two works running”, empty when this was the only one."""
        works = len(self.running_beside) + 1
        return "" if works == 1 else f"with {NUMBERS[works] if works < len(NUMBERS) else works} works running"


def respond(answered: Sequence[Answered], term: Term, others: Iterable[Work] = (), *, key: Hashable = None) -> Response:
    """The response of a prescription to the findings that it answers, the one that it names first at the front.

    The first decides the word, also when it is *not comparable* and another is not: that is what the work was given
    for, and picking the finding that came out best would make work look better than it is. others: the athlete's
    prescriptions; the one whose key is `key` is left out. Raises ValueError without a finding.
    """
    if not answered:
        raise ValueError("a prescription answers at least one finding")
    decides, *beside = (respond_finding(one, term) for one in answered)
    until = decides.measured.date if decides.measured is not None else None
    own = Work(key, frozenset({decides.flag}), term.start, until)
    running = tuple(one.key for one in others if one.key != key and _ran_beside(own, one))
    return Response(decides, tuple(beside), running)


def respond_finding(answered: Answered, term: Term) -> FindingResponse:
    """Baseline to the first comparable day on or after the follow-up date.

    Until then the word is None; when there are only sessions that are not comparable it is *not comparable*.
    """
    flag, sessions = answered.flag, answered.sessions
    baseline = baseline_of(flag, answered.raised_by, sessions, term, answered.source)
    later = [one for one in sessions if one.point.date >= term.follow_up]
    usable = [one for one in later if one.comparable and was_seen(one.point)]
    if not usable:
        word = ResponseWord.NOT_COMPARABLE if later else None
        return FindingResponse(flag, word, Reason.OTHER_WAY if later else Reason.NOT_YET, baseline)
    now = one_a_day(one.point for one in usable)[0]
    keys = tuple(one.key for one in usable if one.point.date == now.date)
    if baseline is None:
        known = answered.raised_by.point.u_between is not None
        reason = Reason.NO_BASELINE if known else Reason.ERROR_NOT_KNOWN
        return FindingResponse(flag, ResponseWord.CANT_TELL, reason, None, now, keys)
    change = change_between(baseline.point, now, kept=baseline.kept)
    level = level_of(baseline, now)
    word, reason = judge(baseline, now, change, level)
    return FindingResponse(flag, word, reason, baseline, now, keys, change, level)


def level_of(baseline: Baseline, now: Measurement) -> float:
    """The p at or below which a change from this baseline counts."""
    return LEVELS[baseline.estimated, min(baseline.point.n, now.n) >= ENOUGH_THROWS]


def judge(baseline: Baseline, now: Measurement, change: Change, level: float) -> tuple[ResponseWord, Reason]:
    """The word of a change and, where the numbers do not say it, why.

    *Crossed* (out on the other side now) is better when nearer to the target than before, worse when farther. *Moved
    inside range* is no real change: there was nothing left to clear. *Worse* than an estimated baseline must be worse
    than the flag as it was measured too: after repeated flags the estimate lies too near the middle.
    """
    if change.word is Word.CANNOT_BE_JUDGED:
        return ResponseWord.CANT_TELL, Reason.NO_TARGET if change.is_real else Reason.ERROR_NOT_KNOWN
    if not change.is_real:
        return ResponseWord.NO_REAL_CHANGE, Reason.NONE
    if change.word is Word.MOVED_INSIDE:
        return ResponseWord.NO_REAL_CHANGE, Reason.INSIDE
    if change.p > level:
        return ResponseWord.CANT_TELL, Reason.CLOSE
    reason = Reason.CROSSED if change.word is Word.CROSSED else Reason.NONE
    if _is_nearer(baseline.point, now):
        return ResponseWord.BETTER, reason
    if baseline.estimated and not _is_worse_than_measured(baseline, now, level):
        return ResponseWord.CANT_TELL, Reason.ONLY_FROM_ESTIMATE
    return ResponseWord.WORSE, reason


def _is_nearer(then: Measurement, now: Measurement) -> bool:
    limits = now.limits
    return limits is not None and abs(distance_to(limits, now.mean)) < abs(distance_to(limits, then.mean))


def _is_worse_than_measured(baseline: Baseline, now: Measurement, level: float) -> bool:
    then = unshrunk(baseline)
    change = change_between(then, now)
    return change.p <= level and not _is_nearer(then, now)


def _ran_beside(own: Work, other: Work) -> bool:
    """Whether the other answers the same finding and both ran on one day at least."""
    starts_in_time = own.ended is None or other.start <= own.ended
    return bool(own.flags & other.flags) and starts_in_time and (other.ended is None or other.ended >= own.start)


def as_if_unflagged(sessions: Iterable[Seen]) -> list[Seen]:
    """The same sessions when nobody decided on work because of one of them."""
    return [replace(one, is_flag=False) for one in sessions]
