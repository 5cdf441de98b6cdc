"""The table of a comparison: its lines, real differences first, and what to make of so many at once."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from athletes.words import counted, number_word
from metrics.catalogue import Metric, load_catalogue
from metrics.change.many import benjamini_hochberg, expected_by_chance
from metrics.change.pair import Change
from metrics.change.values import Word
from metrics.models import Finding
from metrics.selectors.session_lines import WITHOUT_UNIT
from metrics.selectors.session_words import moment_words, name_without_moment

LANES = ("lower_half", "trunk", "arm")


class Kind(StrEnum):
    """What is beside what: two sessions of one athlete, sessions of two people, two throws of one session."""

    CHANGE = "change"
    PEOPLE = "people"
    THROWS = "throws"


@dataclass(frozen=True, slots=True)
class CompareLine:
    """One metric. Numbers in `unit`; `difference` is second minus first, `detectable` the least that would be real.

    `first`, `second`: a finding each; of two throws of one session made up of the throw's own number. `word`: the
    verdict, "" between two people and where it is not comparable; `reason`: why it is not.
    """

    key: str
    name: str
    moment: str
    unit: str
    decimals: int
    is_ball_speed: bool
    first: Finding | None
    second: Finding | None
    group: str
    change: Change | None = None
    word: str = ""
    reason: str = ""

    @property
    def difference(self) -> float | None:
        return None if self.change is None or math.isnan(self.change.difference) else self.change.difference

    @property
    def detectable(self) -> float | None:
        return None if self.change is None or math.isnan(self.change.detectable) else self.change.detectable

    @property
    def half_u(self) -> float | None:
        """What the tags of quantities take for the ± of the difference: they print 1.96 times it."""
        return None if self.detectable is None else self.detectable / 1.96

    @property
    def p(self) -> float:
        """NaN where nothing was judged."""
        return math.nan if self.change is None else self.change.p

    @property
    def may_be_chance(self) -> bool:
        """Real by itself, but not among so many."""
        return self.group == "alone"

    @property
    def is_real(self) -> bool:
        return self.change is not None and self.change.is_real


@dataclass(frozen=True, slots=True)
class LineGroup:
    """`is_open`: its lines are shown at once; the others are one tap away."""

    key: str
    title: str
    lines: tuple[CompareLine, ...]
    is_open: bool


@dataclass(frozen=True, slots=True)
class Table:
    """`real`: changes that stand when all are judged at once; `alone`: how many more are real one by one.

    `chance`: how many would look real if nothing had changed.
    """

    kind: Kind
    groups: tuple[LineGroup, ...]
    chance: str
    compared: int
    real: tuple[CompareLine, ...]
    alone: int


GROUPS = (
    ("real", "Really changed"),
    ("alone", "Perhaps: real one by one, not among so many"),
    ("same", "No real change"),
    ("unknown", "Cannot be judged"),
    ("difference", "Differences"),
    ("apart", "Not comparable"),
)
OF_THROWS = {
    "real": "Further apart than throws of this session are",
    "alone": "Perhaps: further apart one by one, not among so many",
    "same": "As throws of this session differ",
}


def table_of_lines(lines: Sequence[CompareLine], kind: Kind) -> Table:
    """Real differences first; between two people nothing is judged, so nothing is parted."""
    lines = list(lines) if kind == Kind.PEOPLE else _together(lines)
    titles = dict(GROUPS) | (OF_THROWS if kind == Kind.THROWS else {})
    by_group = {key: tuple(line for line in lines if line.group == key) for key in titles}
    present = [key for key in titles if by_group[key]]
    return Table(
        kind=kind,
        groups=tuple(LineGroup(key, titles[key], by_group[key], key == present[0]) for key in present),
        chance="" if kind == Kind.PEOPLE else _chance(lines, kind),
        compared=sum(line.change is not None for line in lines),
        real=by_group["real"],
        alone=len(by_group["alone"]),
    )


def blank_line(metric: Metric, first: Finding | None, second: Finding | None) -> CompareLine:
    """The line before anything is judged: not comparable until it is."""
    either = second if second is not None else first
    return CompareLine(
        key=metric.key,
        name=name_without_moment(metric),
        moment=moment_words(either.moment) if either is not None else "",
        unit="count" if metric.unit in WITHOUT_UNIT else metric.unit,
        decimals=metric.decimals,
        is_ball_speed=metric.key == "ball_speed",
        first=first,
        second=second,
        group="apart",
    )


def group_of(change: Change) -> str:
    """Where a difference stands before it is judged among the others."""
    if change.is_real:
        return "real"
    return "unknown" if change.word == Word.CANNOT_BE_JUDGED else "same"


def in_order(keys: Iterable[str]) -> list[Metric]:
    """Metrics by lane in the order in which the body moves, families together."""
    wanted = set(keys)
    shown = [metric for key, metric in load_catalogue().metrics.items() if key in wanted]
    place = {metric.key: number for number, metric in enumerate(shown)}
    heads: dict[str, int] = {}
    for metric in shown:
        heads.setdefault(metric.family or metric.key, place[metric.key])

    def order(metric: Metric) -> tuple[int, int, int]:
        lane = LANES.index(metric.lane) if metric.lane in LANES else len(LANES)
        return lane, heads[metric.family or metric.key], place[metric.key]

    return sorted(shown, key=order)


def _together(lines: Sequence[CompareLine]) -> list[CompareLine]:
    """Parts the changes that stand when all are judged at once from those that are real only one by one."""
    stands = benjamini_hochberg([line.p for line in lines])
    return [
        replace(line, group="alone") if line.is_real and not holds else line
        for line, holds in zip(lines, stands, strict=True)
    ]


def _chance(lines: Sequence[CompareLine], kind: Kind) -> str:
    judged = [line.p for line in lines if not math.isnan(line.p)]
    if not judged:
        return ""
    alone = sum(line.is_real for line in lines)
    stand = sum(line.group == "real" for line in lines)
    happened = ("changed", "had changed") if kind == Kind.CHANGE else ("differ", "set the two apart")
    stands = f"{number_word(stand) if stand else 'none'} {'stand' if stand > 1 else 'stands'}"
    kept = f" Of these, {stands} when all are judged together."
    many = number_word(alone).capitalize() if alone else "None"
    return (
        f"{many} of {counted(len(judged), 'comparable metric')} {happened[0]} by more than "
        f"{'measuring alone makes' if kind == Kind.CHANGE else 'throws of this session do'}; about "
        f"{expected_by_chance(judged):.1f} would by chance if nothing {happened[1]}.{kept if alone else ''}"
    )
