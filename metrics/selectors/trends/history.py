"""Flag history: metrics × sessions as a grid of marks, each with its value and a link to how it was decided."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from django.urls import reverse

from athletes.models import Athlete, Level
from metrics.drawing.marks import NOT_SCORED, SURE, Verdict, verdict_mark
from metrics.drawing.words import spoken_verdict
from metrics.models import Finding
from metrics.selectors.trends.answers import is_flag
from metrics.selectors.trends.choice import Choice
from metrics.selectors.trends.pictures import verdict_of
from metrics.selectors.trends.ranges import day_words, is_other_version, level_begun_between, version_words
from metrics.selectors.trends.rows import Found, Seen
from metrics.selectors.trends.ruler import Ruler
from metrics.selectors.trends.series import LANES, Series, Spot

IN_VIEW = 12
MARK = 12.0
ANY_METRIC = "any-metric"
OUTLINES: dict[str, str] = {
    Finding.Confirmation.RECURRING: "recurring",
    Finding.Confirmation.CONFIRMED: "confirmed",
    Finding.Confirmation.TO_CONFIRM: "new",
}


@dataclass(frozen=True, slots=True)
class Column:
    """`step`: what changed for all ranges since the column before: a level, a version; "" for nothing."""

    session_pk: int
    date: dt.date
    url: str
    step: str
    is_latest: bool

    @property
    def kind(self) -> str:
        return " ".join(word for word, holds in (("step", self.step), ("now", self.is_latest)) if holds)


@dataclass(frozen=True, slots=True)
class Cell:
    """`name` for the ear and for who points at it; `url` "" for a metric that is no longer in the catalogue; `mark` as
    SVG, "" where there is no finding; `kind`: how it is set off, see static/css/trends.css."""

    url: str
    name: str
    mark: str
    value: str
    kind: str


@dataclass(frozen=True, slots=True)
class Line:
    name: str
    moment: str
    url: str
    cells: tuple[Cell, ...]
    standing: str
    is_flagged: bool


@dataclass(frozen=True, slots=True)
class History:
    """`older`, `newer`: links to the next dozen sessions, "" where there is none."""

    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    steps: tuple[str, ...]
    older: str
    newer: str
    values: bool
    switch: str


def history_of(
    sessions: Sequence[Seen], many: Sequence[tuple[Series, Ruler]], athlete: Athlete, choice: Choice
) -> History:
    """`sessions`: oldest first; the newest dozen are in view, older ones by a step. `many`: in the order to list."""
    back = min(choice.steps_back, max(len(sessions) - 1, 0) // IN_VIEW)
    end = len(sessions) - back * IN_VIEW
    shown = sessions[max(end - IN_VIEW, 0) : end]
    columns = _columns(shown, athlete, latest=sessions[-1] if sessions else None)
    addresses = {one.pk: reverse("metrics:finding", args=[one.uuid, ANY_METRIC]) for one in shown}
    lines = tuple(_line(series, ruler, columns, addresses, choice) for series, ruler in many)
    return History(
        columns=columns,
        lines=tuple(line for line in lines if any(cell.mark for cell in line.cells)),
        steps=tuple(dict.fromkeys(column.step for column in columns if column.step)),
        older=choice.link("history", older=str(back + 1)) if end > IN_VIEW else "",
        newer=choice.link("history", older=str(back - 1) if back > 1 else "") if back else "",
        values=bool(choice.values),
        switch=choice.link("history", values="" if choice.values else "1"),
    )


def in_order(many: Sequence[tuple[Series, Ruler]], *, by_delivery: bool) -> list[tuple[Series, Ruler]]:
    """By lane, or by weight: what is off first, then what would weigh most."""
    if by_delivery:
        return sorted(many, key=lambda pair: (LANES.index(pair[0].face.lane), pair[0].face.place))
    return sorted(many, key=lambda pair: (-pair[0].latest.row.priority, -pair[0].face.weight, pair[0].face.place))


def _columns(shown: Sequence[Seen], athlete: Athlete, latest: Seen | None) -> tuple[Column, ...]:
    befores = (None, *shown[:-1])
    return tuple(
        Column(
            session_pk=one.pk,
            date=one.date,
            url=reverse("metrics:session", args=[one.uuid]),
            step=_step(before, one, athlete) if before else "",
            is_latest=latest is not None and one.pk == latest.pk,
        )
        for before, one in zip(befores, shown, strict=False)
    )


def _step(before: Seen, one: Seen, athlete: Athlete) -> str:
    period = level_begun_between(athlete, before.date, one.date)
    if period is not None:
        return f"ranges for {Level(period.level).label} from {day_words(period.valid_from)}"
    return version_words(one) if is_other_version(before, one) and one.version_pk else ""


def _line(series: Series, ruler: Ruler, columns: Sequence[Column], addresses: dict[int, str], choice: Choice) -> Line:
    by_session = {spot.session.pk: spot for spot in series.spots}
    face, latest = series.face, series.latest
    return Line(
        name=face.name,
        moment=face.moment,
        url=choice.link("opened", metric=face.key),
        cells=tuple(
            _cell(by_session.get(one.session_pk), one, ruler, addresses[one.session_pk] if face.metric else "")
            for one in columns
        ),
        standing=standing_words(latest.row),
        is_flagged=is_flag(latest.row),
    )


def _cell(spot: Spot | None, column: Column, ruler: Ruler, address: str) -> Cell:
    """`address`: of how a finding of this session was decided, with a word in place of the metric."""
    if spot is None:
        return Cell("", "", "", "", column.kind)
    row = spot.row
    value = ruler.write(row.mean, u=row.u) if row.mean is not None else ""
    said = spoken_verdict(verdict_of(row), other_zone=row.other_zone, reason=row.reason)
    apart = f"; stands apart, {spot.why_not}" if spot.why_not else ""
    outline = OUTLINES.get(row.confirmation, "") if is_flag(row) else ""
    return Cell(
        url=address.replace(ANY_METRIC, row.metric),
        name=f"{day_words(spot.session.date)}: {f'{value}, ' if value else ''}{said}{apart}",
        mark=drawn_mark(row.zone, row.side, row.sure),
        value=value,
        kind=" ".join(word for word in (column.kind, outline, "pale" if spot.why_not else "") if word),
    )


@lru_cache(maxsize=64)
def drawn_mark(zone: str, side: str, sure: str) -> str:
    """There are few different ones, however many cells."""
    return verdict_mark(Verdict(zone or NOT_SCORED, side or "", sure or SURE), size=MARK)


def standing_words(row: Found) -> str:
    """recurring, 3 of 3: how often this flag was seen among comparable sessions; "" for what is no flag."""
    if row.confirmation == Finding.Confirmation.RECURRING:
        return f"recurring, {row.flags_among_last or 2} of {row.among_last or 3}"
    if row.confirmation == Finding.Confirmation.CONFIRMED:
        return "new, confirmed" if row.is_new else "confirmed"
    if row.confirmation == Finding.Confirmation.TO_CONFIRM:
        return "new, to confirm" if row.is_new else "to confirm"
    return ""
