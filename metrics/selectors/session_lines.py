"""The lines of a session: one a finding, gathered in groups in the order of a coach's questions."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.urls import reverse

from metrics.catalogue import Metric
from metrics.models import Finding
from metrics.scoring.derived import GIVEN
from metrics.selectors.session_changes import Changed, changed
from metrics.selectors.session_rows import SessionRows
from metrics.selectors.session_words import STATUS_WORDS, confirmation_words, moment_words, name_without_moment

NOT_MEASURED = "Not measured in this session."
SHOWN_ONLY = ("style", "context")
WITHOUT_UNIT = ("class", "yes/no", "0-10")
"""Units that say what a number means and are not written behind it."""

GROUPS = (
    ("flag", "Flags, by priority"),
    ("watch", "Watch"),
    ("cant_tell", "Can’t tell"),
    ("in_range", "In range"),
    ("not_scored", "Not scored"),
    ("shown", "Shown, not judged"),
)


@dataclass(frozen=True, slots=True)
class Line:
    """One finding as the page lists it; the names of the verdict are those that the drawing tags ask for.

    Numbers in `unit`; `difference` is this session's mean minus that of the last comparable one. `more`: how many
    flags of the same family stand under this line. `came_about`: computed or given, of a screen that has parts.
    """

    key: str
    name: str
    moment: str
    label: str
    group: str
    zone: str
    side: str
    sure: str
    other_zone: str
    perhaps_flag: bool
    probability: float | None
    mean: float | None
    u: float | None
    target_low: float | None
    target_high: float | None
    flag_low: float | None
    flag_high: float | None
    step: float | None
    unit: str
    decimals: int
    reason: str
    previous_mean: float | None
    difference: float | None
    change: Changed | None
    status: str
    weight: float
    priority: float
    confirmation: str
    is_first_look: bool
    url: str
    more: int = 0
    came_about: str = ""

    @property
    def is_flag(self) -> bool:
        return self.group == "flag"

    @property
    def tags(self) -> str:
        """The second line: whether it was computed, moment, how often seen, weight."""
        weight = f"weight {self.weight:g}" if self.weight else ""
        return " · ".join(part for part in (self.came_about, self.moment, self.confirmation, weight) if part)


@dataclass(frozen=True, slots=True)
class Group:
    key: str
    title: str
    lines: tuple[Line, ...]


def lines_of(rows: SessionRows) -> list[Line]:
    """Every finding but outcomes and ball speed, then first-look metrics that have none, in the catalogue's order."""
    catalogue = rows.catalogue
    found = {row.metric: row for row in rows.findings}
    lines = []
    for key, metric in catalogue.metrics.items():
        row = found.get(key)
        if row is not None:
            if not is_outcome(metric):
                lines.append(line_of(metric, row, rows))
        elif metric.first_look and metric.can_be_given_by(rows.capture.method):
            lines.append(_unmeasured(metric, rows))
    return lines


def is_outcome(metric: Metric) -> bool:
    """Stands in the strip of outcomes."""
    return metric.kind == "outcome" or metric.key == "ball_speed"


def line_of(metric: Metric, row: Finding, rows: SessionRows) -> Line:
    before = rows.before.get(metric.key)
    name, moment = name_without_moment(metric), moment_words(row.moment)
    return Line(
        key=metric.key,
        name=name,
        moment=moment,
        label=f"{name}, {moment}" if moment else name,
        group=_group_of(metric, row),
        zone=row.zone,
        side=row.side,
        sure=row.sure,
        other_zone=row.other_zone,
        perhaps_flag=row.perhaps_flag,
        probability=row.probability,
        mean=row.mean,
        u=row.u,
        target_low=row.target_low,
        target_high=row.target_high,
        flag_low=row.flag_low,
        flag_high=row.flag_high,
        step=(row.rule.unit_low or row.rule.unit_high) if row.rule else None,
        unit="count" if metric.unit in WITHOUT_UNIT else metric.unit,
        decimals=metric.decimals,
        reason=row.reason,
        previous_mean=before.mean if before else None,
        difference=row.mean - before.mean if before and row.mean is not None and before.mean is not None else None,
        change=_change(row, rows),
        status=STATUS_WORDS.get(row.rule_status, ""),
        weight=row.weight,
        priority=row.priority,
        confirmation=confirmation_words(row),
        is_first_look=metric.first_look,
        url=reverse("metrics:finding", args=[rows.capture.uuid, metric.key]),
        came_about=came_about(metric, row),
    )


def _change(row: Finding, rows: SessionRows) -> Changed | None:
    """Since the last comparable session; None where this metric has no comparable number there."""
    before = rows.before.get(row.metric)
    if before is None or rows.last_time is None:
        return None
    return changed(before, rows.last_time.date, row, rows.capture.date)


def came_about(metric: Metric, row: Finding) -> str:
    """computed, given, or nothing for what is measured itself."""
    if not metric.derived_from or row.mean is None:
        return ""
    return "given, not computed" if GIVEN in row.decision.get("notes", ()) else "computed"


def _unmeasured(metric: Metric, rows: SessionRows) -> Line:
    blank = Finding(metric=metric.key, zone=Finding.Zone.NOT_SCORED, reason=NOT_MEASURED, weight=metric.weight, n=0)
    blank.moment = metric.moment_for(rows.capture.landing)
    return line_of(metric, blank, rows)


def _group_of(metric: Metric, row: Finding) -> str:
    if row.zone == Finding.Zone.NOT_SCORED:
        return "shown" if metric.kind in SHOWN_ONLY else "not_scored"
    return "cant_tell" if row.sure == Finding.Sure.CANT_TELL else row.zone


def first_lines(lines: Sequence[Line], rows: SessionRows) -> list[Line]:
    """First look and every flag, a flag's family on one line; a hands-on session opens on what is scored."""
    if rows.capture.method == "hands_on":
        return [line for line in lines if line.zone != Finding.Zone.NOT_SCORED] or list(lines)
    families: defaultdict[str, list[Line]] = defaultdict(list)
    for line in lines:
        if line.is_flag:
            families[rows.catalogue.metric(line.key).family or line.key].append(line)
    under: dict[str, int] = {}
    for flags in families.values():
        ordered = sorted(flags, key=lambda line: -line.priority)
        shown = [line for line in ordered if line.is_first_look] or ordered[:1]
        under |= {shown[0].key: len(ordered) - len(shown)}
        under |= {line.key: 0 for line in shown[1:]}
    return [_with_more(line, under.get(line.key, 0)) for line in lines if line.is_first_look or line.key in under]


def _with_more(line: Line, more: int) -> Line:
    return Line(**{**{name: getattr(line, name) for name in Line.__slots__}, "more": more}) if more else line


def grouped(lines: Iterable[Line]) -> tuple[Group, ...]:
    """Groups that have a line; flags by priority, the others first look first, then as the catalogue lists them."""
    by_group: defaultdict[str, list[Line]] = defaultdict(list)
    for line in lines:
        by_group[line.group].append(line)
    return tuple(Group(key, title, tuple(sorted(by_group[key], key=_order))) for key, title in GROUPS if by_group[key])


def _order(line: Line) -> tuple[float, bool]:
    return (-line.priority, not line.is_first_look)
