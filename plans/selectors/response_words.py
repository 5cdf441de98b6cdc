"""What a response says on a page: the word, its numbers in the reader's units, and why it is no other word.

Reads what `plans.services.responses.told` wrote, of a response that stands now as of one that was decided on.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from athletes.quantities import convert, convert_ball_speed
from metrics.catalogue import load_catalogue
from metrics.selectors.session_lines import WITHOUT_UNIT
from metrics.selectors.trends.ruler import DECIMALS_OF_OTHER_UNIT, Ruler
from plans.models import FollowUp, Response

BALL_SPEED = "ball_speed"
NOT_YET = "Not measured yet"
NO_START = "Nothing measured to start from"
NO_START_REASON = (
    "What this work answers was never measured, or its session was withdrawn. It is closed or continued by eye."
)
BASELINE_ESTIMATED = "baseline estimated"


@dataclass(frozen=True, slots=True)
class FindingWords:
    """One finding that the work answers. Numbers stand as the reader has them, "" where they are not known.

    `name`: "elbow flexion at foot plant"; `word`: "better", "" while nothing was measured; `change`: "+13° ± 4".
    `measured_in`: uuid of the session that decides, "" before there is one.
    """

    key: str
    side: str
    name: str
    word: str
    then: str = ""
    now: str = ""
    change: str = ""
    reason: str = ""
    baseline_on: dt.date | None = None
    measured_on: dt.date | None = None
    is_estimated: bool = False
    measured_in: str = ""

    @property
    def numbers(self) -> str:
        """78° → 91° (+13° ± 4), as far as it is known; "" before there is a measurement."""
        course = f"{self.then} → {self.now}" if self.then and self.now else self.now
        return f"{course} ({self.change})" if self.change else course

    @property
    def baseline(self) -> str:
        """baseline estimated; nothing where it was measured. Before there is a measurement its value: baseline 78°."""
        if self.now or not self.then:
            return BASELINE_ESTIMATED if self.is_estimated else ""
        return f"baseline {self.then}{', estimated' if self.is_estimated else ''}"

    @property
    def sentence(self) -> str:
        """elbow flexion at foot plant 78° → 91° (+13° ± 4), baseline estimated"""
        numbers = f" {self.numbers}" if self.numbers else ""
        return ", ".join(part for part in (f"{self.name}{numbers}", self.baseline) if part)


@dataclass(frozen=True, slots=True)
class ResponseWords:
    """`decides`: the finding that the work names first, None where nothing was measured to start from.

    `works`: "with two works running", "" when this was the only one; `stays_due`: the measurement is still to come.
    """

    word: str
    decides: FindingWords | None
    beside: tuple[FindingWords, ...] = ()
    works: str = ""
    stays_due: bool = True

    @property
    def title(self) -> str:
        """The word with a capital; what stands in its place before there is one."""
        if self.decides is None:
            return NO_START
        return _capital(self.word) if self.word else NOT_YET

    @property
    def sentence(self) -> str:
        """Better: elbow flexion at foot plant 78° → 91° (+13° ± 4), baseline estimated, with two works running."""
        if self.decides is None:
            return f"{NO_START}."
        told = ", ".join(part for part in (self.decides.sentence, self.works) if part)
        return f"{self.title}: {told}."

    @property
    def reason(self) -> str:
        """Why it is this word; "" where the numbers say it all."""
        return NO_START_REASON if self.decides is None else self.decides.reason

    @property
    def numbers(self) -> str:
        return self.decides.numbers if self.decides else ""


NO_RESPONSE = ResponseWords("", None)


def response_words(response: Response | None, system: str) -> ResponseWords:
    """`response`: as it stands now, None where none can be computed; `system`: the reader's units."""
    return _told(response.word, response.told, system) if response is not None else NO_RESPONSE


def decided_words(follow_up: FollowUp, system: str) -> ResponseWords:
    """Of a decided follow-up: what the measurements said then, whatever they say now."""
    kept: Mapping[str, Any] = follow_up.decided_on or {}
    return _told(str(kept.get("word") or ""), kept, system)


def response_of(follow_up: FollowUp, system: str) -> ResponseWords:
    """What stands of a follow-up, decided or not; load it with `select_related("response")`."""
    if follow_up.decision:
        return decided_words(follow_up, system)
    return response_words(getattr(follow_up, "response", None), system)


def _told(word: str, told: Mapping[str, Any], system: str) -> ResponseWords:
    findings = [_finding(one, system) for one in told.get("findings") or ()]
    if not findings:
        return NO_RESPONSE
    stays_due = bool(told.get("stays_due", not word))
    return ResponseWords(word, findings[0], tuple(findings[1:]), str(told.get("works") or ""), stays_due)


def _finding(one: Mapping[str, Any], system: str) -> FindingWords:
    key, side = str(one["metric"]), str(one.get("side") or "")
    baseline, now, change = one.get("baseline") or {}, one.get("now") or {}, one.get("change") or {}
    ruler = ruler_for(key, system)
    return FindingWords(
        key=key,
        side=side,
        name=metric_words(key),
        word=str(one.get("word") or ""),
        then=_written(ruler, baseline),
        now=_written(ruler, now),
        change=_change(ruler, change),
        reason=str(one.get("reason") or ""),
        baseline_on=_date(baseline.get("date")),
        measured_on=_date(now.get("date")),
        is_estimated=bool(baseline.get("estimated")),
        measured_in=next(iter(one.get("sessions") or ()), ""),
    )


def metric_words(key: str) -> str:
    """elbow flexion at foot plant; a metric that the catalogue dropped keeps its key."""
    known = load_catalogue().metrics.get(key)
    return f"{known.name[:1].lower()}{known.name[1:]}" if known else key


def ruler_for(key: str, system: str) -> Ruler:
    """How numbers of this metric are written for a reader of these units."""
    known = load_catalogue().metrics.get(key)
    unit = known.unit if known and known.unit not in WITHOUT_UNIT else "count"
    decimals = known.decimals if known else DECIMALS_OF_OTHER_UNIT
    factor, shown = convert_ball_speed(1.0, system) if key == BALL_SPEED else convert(1.0, unit, system)
    return Ruler(factor, shown, decimals if shown == unit else DECIMALS_OF_OTHER_UNIT)


def _change(ruler: Ruler, change: Mapping[str, Any]) -> str:
    """+13° ± 4, the second for 1.96 u."""
    difference, u = change.get("difference"), change.get("u")
    if difference is None:
        return ""
    return f"{ruler.write(difference, signed=True)} {ruler.half_width(u)}".strip()


def _written(ruler: Ruler, end: Mapping[str, Any]) -> str:
    return "" if end.get("mean") is None else ruler.write(end["mean"])


def _date(text: str | None) -> dt.date | None:
    return dt.date.fromisoformat(text) if text else None


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
