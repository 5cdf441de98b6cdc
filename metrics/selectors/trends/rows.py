"""What is read for the trends of one athlete: three queries, however many sessions and metrics."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import TextField
from django.db.models.fields.json import KeyTransform
from django.db.models.functions import Cast
from django.utils import timezone

from athletes.models import Athlete, Note, User
from metrics.catalogue import Catalogue, load_catalogue
from metrics.models import Finding
from sessions.models import CaptureSession, Method
from sessions.quick_json import from_text

MOST_SESSIONS = 150
"""Of one method, the newest, that are read and drawn; the CSV has all. A chart of more could not be read either."""


class Seen(NamedTuple):
    """One session, by its columns; those from `scoring` are None while it has not been scored."""

    pk: int
    uuid: UUID
    date: dt.date
    ordinal: int
    method: str
    setup: str
    filter_knowledge: str
    filter_hz: float | None
    definitions: dict[str, str]
    conditions_used: dict[str, str] | None
    for_orientation: bool | None
    version_pk: int | None
    version: int | None
    profile: str | None
    input_revision: int
    scored_revision: int | None
    scored_facts_revision: int | None


LimitsFound = tuple[float | None, float | None, float | None, float | None]
"""Target low and high, flag low and high; None is an open side."""

NO_LIMITS: LimitsFound = (None, None, None, None)


class Found(NamedTuple):
    """One finding, by the columns that trends need; numbers in the metric's unit."""

    session_pk: int
    metric: str
    condition_set: str
    kind: str
    unit: str
    moment: str
    n: int
    mean: float | None
    sd: float | None
    u: float | None
    u_between: float | None
    prior_sd: float | None
    target_low: float | None
    target_high: float | None
    flag_low: float | None
    flag_high: float | None
    size_basis: str
    zone: str
    side: str
    sure: str
    other_zone: str
    probability: float | None
    perhaps_flag: bool
    reason: str
    weight: float
    priority: float
    confirmation: str
    flags_among_last: int | None
    among_last: int | None
    is_new: bool | None

    @property
    def limits(self) -> LimitsFound:
        return (self.target_low, self.target_high, self.flag_low, self.flag_high)

    @property
    def has_range(self) -> bool:
        return self.limits != NO_LIMITS


class UsedCue(NamedTuple):
    text: str
    first_used: dt.date


@dataclass(frozen=True, slots=True)
class TrendRows:
    """`sessions`: by the method chosen, oldest first, the newest MOST_SESSIONS; `findings`: theirs, by metric and
    session; `methods`: how many sessions there are by each; `total`: by the method chosen."""

    athlete: Athlete
    method: str
    methods: Mapping[str, int]
    sessions: tuple[Seen, ...]
    findings: Mapping[str, Mapping[int, Found]]
    cues: tuple[UsedCue, ...]
    catalogue: Catalogue

    @property
    def total(self) -> int:
        return self.methods.get(self.method, 0)

    @property
    def lagging(self) -> int:
        """Sessions whose findings answer an older state of them, or that have none yet."""
        return sum(self._lags(one) for one in self.sessions)

    def _lags(self, one: Seen) -> bool:
        if one.scored_revision is None or one.scored_facts_revision is None:
            return True
        return one.scored_revision < one.input_revision or one.scored_facts_revision < self.athlete.facts_revision


SESSION_COLUMNS = (
    "pk", "uuid", "date", "ordinal", "method", "setup", "filter_knowledge", "filter_hz", "definitions_text",
    "conditions_text", "scoring__for_orientation", "scoring__profile_version",
    "scoring__profile_version__number", "scoring__profile_version__profile__name", "input_revision",
    "scoring__scored_revision", "scoring__scored_facts_revision",
)  # fmt: skip
FROM_RECORD = {
    name: KeyTransform(key, "decision")
    for name, key in (
        ("prior_sd", "prior_sd"),
        ("flags_among_last", "flags_among_last"),
        ("among_last", "among_last"),
        ("is_new", "new"),
    )
}
FINDING_COLUMNS = tuple({"session_pk": "session_id"}.get(name, name) for name in Found._fields)


def read_trends(
    athlete: Athlete, reader: User, *, method: str = "", most: int | None = MOST_SESSIONS, metric: str = ""
) -> TrendRows:
    """`method`: that of the latest thrown session where it is none that the athlete was measured by. `most`: None for
    all sessions. `metric`: this one alone, "" for all."""
    rows = sessions_of(athlete)
    methods = Counter(one.method for one in rows)
    chosen = method if method in methods else latest_method(rows)
    by_method = [one for one in rows if one.method == chosen]
    sessions = tuple(map(seen_from, by_method[-most:] if most else by_method))
    return TrendRows(
        athlete=athlete,
        method=chosen,
        methods=methods,
        sessions=sessions,
        findings=findings_of([one.pk for one in sessions], metric),
        cues=cues_of(athlete, reader) if sessions else (),
        catalogue=load_catalogue(),
    )


class SessionRow(NamedTuple):
    """A session as it is read: of thousands most are only counted, so their JSON stays text."""

    pk: int
    uuid: UUID
    date: dt.date
    ordinal: int
    method: str
    setup: str
    filter_knowledge: str
    filter_hz: float | None
    definitions_text: str
    conditions_text: str | None
    for_orientation: bool | None
    version_pk: int | None
    version: int | None
    profile: str | None
    input_revision: int
    scored_revision: int | None
    scored_facts_revision: int | None


def sessions_of(athlete: Athlete) -> list[SessionRow]:
    """All that are not withdrawn, oldest first."""
    rows = CaptureSession.objects.filter(athlete=athlete).order_by("date", "ordinal", "pk")
    rows = rows.annotate(
        definitions_text=Cast("definitions", TextField()), conditions_text=Cast("scoring__conditions_used", TextField())
    )
    return [SessionRow._make(row) for row in rows.values_list(*SESSION_COLUMNS)]


def seen_from(row: SessionRow) -> Seen:
    conditions = from_text(row.conditions_text) if row.conditions_text else None
    return Seen(*row[:8], from_text(row.definitions_text), conditions, *row[10:])


def latest_method(sessions: Sequence[SessionRow]) -> str:
    """That of the latest thrown session; hands-on where nothing was thrown; "" without any session."""
    thrown = [one.method for one in sessions if one.method != Method.HANDS_ON]
    return (thrown or [one.method for one in sessions] or [""])[-1]


def findings_of(session_pks: Sequence[int], metric: str = "") -> Mapping[str, Mapping[int, Found]]:
    """By metric and session: a scoring makes one finding a metric, of the conditions that it scored."""
    found: defaultdict[str, dict[int, Found]] = defaultdict(dict)
    for row in read_findings(session_pks, metric):
        found[row.metric][row.session_pk] = row
    return found


def read_findings(session_pks: Sequence[int], metric: str = "") -> list[Found]:
    """The rows alone."""
    if not session_pks:
        return []
    rows = Finding.objects.filter(session__in=session_pks, **({"metric": metric} if metric else {}))
    rows = rows.annotate(**FROM_RECORD).order_by()
    return [Found._make(row) for row in rows.values_list(*FINDING_COLUMNS)]


def cues_of(athlete: Athlete, reader: User) -> tuple[UsedCue, ...]:
    """Each cue that the reader may read with the day on which it was first used, in that order."""
    first: dict[str, Any] = {}
    notes = Note.objects.visible_to(reader).filter(athlete=athlete, is_cue=True).order_by("written_at", "pk")
    for text, written_at in notes.values_list("text", "written_at"):
        first.setdefault(" ".join(text.split()).casefold(), (text, timezone.localdate(written_at)))
    return tuple(UsedCue(text, day) for text, day in first.values())
