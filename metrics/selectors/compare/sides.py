"""One side of a comparison: a session with its findings, its throws, and how it was measured."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Exists, OuterRef
from django.urls import reverse

from athletes.facts import body_size_on, level_on
from athletes.models import Athlete
from athletes.words import counted
from metrics.catalogue import load_catalogue
from metrics.judging.values import CONDITION_FIELDS
from metrics.models import Finding, Scoring
from metrics.selectors.session_rows import findings_lag, scoring_of
from metrics.selectors.session_words import CONDITION_WORDS, LANDING_WORDS
from sessions.models import CaptureSession, FilterKnowledge, Method, Throw, ThrowRecording


@dataclass(frozen=True, slots=True)
class ThrowChoice:
    """One throw of a side. `figure_url`: "" where it has no positions; `why`: it was left out, or not scored."""

    uuid: UUID
    number: int
    figure_url: str
    is_excluded: bool
    why: str
    is_chosen: bool

    @property
    def words(self) -> str:
        return f"Throw {self.number}{', left out' if self.is_excluded else ''}"


@dataclass(frozen=True, slots=True)
class SideNames:
    """`title`: Then, or a person's name; `when`: then, or for a person, as it stands in a sentence."""

    title: str
    when: str


THEN, NOW = SideNames("Then", "then"), SideNames("Now", "now")
FIRST, SECOND = SideNames("First", "first"), SideNames("Second", "second")


def named_after(athlete: Athlete) -> SideNames:
    return SideNames(athlete.name, f"for {athlete.name}")


@dataclass(frozen=True, slots=True)
class Side:
    """`names`: what the page calls it; `throws`: those that can be shown, in order; `height_cm`: on the session's day.

    Shown are throws with positions; where none has any, all.
    """

    names: SideNames
    capture: CaptureSession
    findings: Mapping[str, Finding]
    throws: tuple[ThrowChoice, ...]
    throw_count: int
    height_cm: float | None
    is_lagging: bool

    @property
    def scoring(self) -> Scoring | None:
        return scoring_of(self.capture)

    @property
    def url(self) -> str:
        return reverse("metrics:session", args=[self.capture.uuid])

    @property
    def title(self) -> str:
        return self.names.title

    @property
    def date(self) -> dt.date:
        return self.capture.date

    @property
    def throw(self) -> ThrowChoice | None:
        """The one that is shown."""
        return next((one for one in self.throws if one.is_chosen), None)

    @property
    def is_recorded(self) -> bool:
        return any(one.figure_url for one in self.throws)

    @property
    def measured(self) -> tuple[str, ...]:
        """Metrics that have a number here."""
        return tuple(key for key, row in self.findings.items() if row.mean is not None)


def sides_of(
    pair: Sequence[CaptureSession], names: Sequence[SideNames], asked_throws: Sequence[UUID | None]
) -> tuple[Side, ...]:
    """Both sides, in a number of queries that does not hang on how much was measured.

    A throw that the address names is taken where it belongs; of one session with itself the first throw is the
    first side's.
    """
    is_one = pair[0].pk == pair[-1].pk
    findings = _findings(pair)
    made: list[Side] = []
    for place, (capture, name) in enumerate(zip(pair, names, strict=True)):
        wanted = {asked_throws[place]} if is_one else set(asked_throws)
        taken = made[0].throw if is_one and made else None
        throws = _throws(capture)
        made.append(
            Side(
                name,
                capture,
                findings.get(capture.pk, {}),
                _choices(capture, throws, wanted, taken),
                len(throws),
                _height(capture),
                findings_lag(capture),
            )
        )
    return tuple(made)


def _findings(pair: Sequence[CaptureSession]) -> Mapping[int, Mapping[str, Finding]]:
    known = load_catalogue().metrics
    found: dict[int, dict[str, Finding]] = {}
    for row in Finding.objects.filter(session__in=pair).select_related("rule").defer("rule__note"):
        if row.metric in known:
            found.setdefault(row.session_id, {})[row.metric] = row
    return found


def _throws(capture: CaptureSession) -> list[Throw]:
    """With what was found of their events, in the order in which they were thrown."""
    recorded = ThrowRecording.objects.filter(throw=OuterRef("pk"))
    found = capture.throws.select_related("motion").annotate(is_recorded=Exists(recorded))
    return list(found.order_by("number"))


def _choices(
    capture: CaptureSession, throws: Sequence[Throw], wanted: Iterable[UUID | None], taken: ThrowChoice | None
) -> tuple[ThrowChoice, ...]:
    """`taken`: the throw that the other side of the same session shows; without a wish, another one is shown."""
    recorded = [throw for throw in throws if _has_positions(throw)]
    shown = recorded or list(throws)
    free = [throw for throw in shown if taken is None or throw.uuid != taken.uuid]
    chosen = next((throw for throw in shown if throw.uuid in wanted), None) or _usual(free or shown)
    scoring = scoring_of(capture)
    return tuple(
        ThrowChoice(
            throw.uuid,
            throw.number,
            reverse("metrics:throw-figure", args=[capture.uuid, throw.uuid]) if recorded else "",
            throw.is_excluded,
            _why(throw, scoring),
            throw is chosen,
        )
        for throw in shown
    )


def _has_positions(throw: Throw) -> bool:
    return bool(getattr(throw, "is_recorded", False)) and hasattr(throw, "motion")


def _usual(throws: Sequence[Throw]) -> Throw | None:
    """Of middle length from contact to release, of those that are not left out; else any."""
    kept = [throw for throw in throws if not throw.is_excluded] or list(throws)
    timed = [throw for throw in kept if _has_positions(throw) and {"fc", "br"} <= throw.motion.events.keys()]
    timed.sort(key=lambda throw: (throw.motion.events["br"] - throw.motion.events["fc"], throw.number))
    return timed[(len(timed) - 1) // 2] if timed else next(iter(kept), None)


def _why(throw: Throw, scoring: Scoring | None) -> str:
    """Why the findings are not made of this throw; empty where they are."""
    if throw.is_excluded:
        return f"left out: {throw.excluded_reason or 'no reason given'}"
    used = scoring.conditions_used if scoring else {}
    others = [name for name in CONDITION_FIELDS if used and getattr(throw, name) != used.get(name)]
    told = ", ".join(CONDITION_WORDS[name][getattr(throw, name)] for name in others)
    return f"not scored: {told}" if told else ""


def _height(capture: CaptureSession) -> float | None:
    height = body_size_on(capture.athlete, capture.date).height
    return height.value if height else None


@dataclass(frozen=True, slots=True)
class ConditionRow:
    """One circumstance, beside each other."""

    name: str
    first: str
    second: str

    @property
    def differs(self) -> bool:
        return self.first != self.second


def condition_rows(first: Side, second: Side, height_words: Sequence[str]) -> tuple[ConditionRow, ...]:
    """How each was measured; what neither knows is left out. `height_words`: in the reader's units."""
    columns = [dict(_conditions(side, words)) for side, words in zip((first, second), height_words, strict=True)]
    names = dict.fromkeys([*columns[0], *columns[1]])
    rows = (ConditionRow(name, columns[0].get(name) or "—", columns[1].get(name) or "—") for name in names)
    return tuple(row for row in rows if (row.first, row.second) != ("—", "—"))


def _conditions(side: Side, height_words: str) -> Iterable[tuple[str, str]]:
    capture, scoring = side.capture, side.scoring
    yield "Method", str(capture.get_method_display())
    yield "Room or camera", capture.setup
    if capture.method != Method.HANDS_ON:
        used = scoring.conditions_used if scoring else {}
        titles = {"surface": "Thrown from", "intent": "Effort", "pitch_type": "Pitch", "ball": "Ball"}
        for field, title in titles.items():
            yield title, CONDITION_WORDS[field].get(used.get(field, ""), "")
        yield "Scored throws", f"{scoring.scored_throws} of {side.throw_count}" if scoring else ""
        yield "Throwing arm", str(capture.get_throwing_side_display())
        yield "Landing", LANDING_WORDS[capture.landing].removeprefix("landing ").removeprefix("moment of landing ")
        yield "Filter", filter_words(capture)
        yield "Frames", f"{capture.frame_rate_hz:g} a second" if capture.frame_rate_hz else "not known"
    else:
        yield "Rounds", counted(side.throw_count, "round")
    level = level_on(capture.athlete, capture.date)
    yield "Level", level.label if level else "not recorded"
    yield "Height", height_words
    yield "Ranges", str(scoring.profile_version) if scoring and scoring.profile_version else "none"


def filter_words(capture: CaptureSession) -> str:
    """13.4 Hz; not filtered; not known."""
    known = FilterKnowledge(capture.filter_knowledge)
    return f"{capture.filter_hz:g} Hz" if known == FilterKnowledge.KNOWN else str(known.label)
