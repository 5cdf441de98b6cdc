"""The trends page of an athlete as one value that the template walks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from athletes.models import Athlete, User
from athletes.words import counted
from metrics.change.many import benjamini_hochberg, expected_by_chance
from metrics.drawing.trend import small_trend
from metrics.models import Finding
from metrics.selectors.trends import words
from metrics.selectors.trends.answers import Answered, answered, is_flag, p_values
from metrics.selectors.trends.choice import Choice
from metrics.selectors.trends.history import History, history_of, in_order
from metrics.selectors.trends.opened import Opened, opened_of
from metrics.selectors.trends.pictures import MOST_SMALL, picture_of
from metrics.selectors.trends.rows import MOST_SESSIONS, Found, TrendRows, read_trends
from metrics.selectors.trends.ruler import Ruler, ruler_of
from metrics.selectors.trends.series import KINDS, Series, all_series
from sessions.models import Method

FIRST_LOOK, REST = "First look", "Everything else"


@dataclass(frozen=True, slots=True)
class MethodLink:
    label: str
    count: int
    url: str
    is_current: bool


@dataclass(frozen=True, slots=True)
class Small:
    """`row`: the latest finding, for its mark and words; `stands`: still called changing when all are looked at
    together."""

    name: str
    moment: str
    unit: str
    url: str
    numbers_url: str
    svg: str
    row: Found
    change_word: str
    change_numbers: str
    change_interval: str
    is_real: bool
    stands: bool
    is_open: bool


@dataclass(frozen=True, slots=True)
class SmallGroup:
    title: str
    smalls: tuple[Small, ...]


@dataclass(frozen=True, slots=True)
class TrendsPage:
    """`empty`: what stands in place of everything when there is nothing to draw; `notices`: what to know first."""

    choice: Choice
    title: str
    measured: str
    methods: tuple[MethodLink, ...]
    notices: tuple[str, ...]
    empty: str
    opened: Opened | None
    groups: tuple[SmallGroup, ...]
    all_count: int
    chance: str
    history: History | None

    @property
    def links(self) -> dict[str, str]:
        """The page in its other orders and lengths."""
        return {
            "priority": self.choice.link("small", order=""),
            "delivery": self.choice.link("small", order="delivery"),
            "all": self.choice.link("small", all="1"),
            "first_look": self.choice.link("small", all=""),
            "csv": self.choice.link(metric="", all="", order="", older="", values=""),
        }


def trends_page(athlete: Athlete, reader: User, choice: Choice, *, system: str) -> TrendsPage:
    """`athlete` with its levels loaded; `system`: the reader's units. Three queries."""
    rows = read_trends(athlete, reader, method=choice.method)
    many = [(series, ruler_of(series.face, system)) for series in all_series(rows)]
    many = [pair for pair in many if pair[0].has_value]
    if not many:
        return _empty_page(rows, choice)
    shown = _shown(many, rows.method, choice)
    opened = _opened(many, choice)
    answers = {pair[0].face.key: answered(*pair, athlete) for pair in {id(p): p for p in (*shown, opened)}.values()}
    stands = _standing(list(answers.values()))
    return TrendsPage(
        choice=choice,
        title=words.period_words(rows.sessions),
        measured=words.measured_words(rows.method, rows.sessions),
        methods=_methods(rows, choice),
        notices=_notices(rows, choice, many),
        empty="",
        opened=opened_of(answers[opened[0].face.key], rows.cues),
        groups=_groups(shown, answers, stands, rows, choice, opened[0].face.key),
        all_count=len(many),
        chance=_chance(list(answers.values()), stands),
        history=history_of(rows.sessions, _for_history(many, shown, choice), athlete, choice),
    )


Pair = tuple[Series, Ruler]


def _shown(many: Sequence[Pair], method: str, choice: Choice) -> list[Pair]:
    """First look, or all; every screen of hands-on sessions that is scored, where there is no first look."""
    if choice.shows_all:
        return list(many)
    first = [pair for pair in many if pair[0].face.first_look]
    if first:
        return first
    scored = [pair for pair in many if pair[0].latest.row.zone != Finding.Zone.NOT_SCORED]
    return scored if scored and method == Method.HANDS_ON else list(many)


def _opened(many: Sequence[Pair], choice: Choice) -> Pair:
    """The one asked for, else the heaviest."""
    asked = next((pair for pair in many if pair[0].face.key == choice.metric), None)
    return asked or ordered(many, by_delivery=False)[0]


def ordered(many: Sequence[Pair], *, by_delivery: bool) -> list[Pair]:
    """What is worked on before what is only judged or shown; by priority, then weight, or along the delivery."""

    def place(pair: Pair) -> tuple[float, ...]:
        face, row = pair[0].face, pair[0].latest.row
        kind = KINDS.index(face.kind) if face.kind in KINDS else len(KINDS)
        kind = 0 if face.kind == "screen" else kind
        return (face.place,) if by_delivery else (kind, -row.priority, -face.weight, face.place)

    return sorted(many, key=place)


def _groups(
    shown: Sequence[Pair],
    answers: dict[str, Answered],
    stands: set[str],
    rows: TrendRows,
    choice: Choice,
    opened: str,
) -> tuple[SmallGroup, ...]:
    first = [pair for pair in shown if pair[0].face.first_look]
    rest = [pair for pair in shown if not pair[0].face.first_look]
    title = REST if first else "Screens" if rows.method == Method.HANDS_ON else "All"
    return tuple(
        SmallGroup(
            name,
            tuple(
                _small(answers[series.face.key], stands, rows, choice, opened)
                for series, _ in ordered(pairs, by_delivery=choice.by_delivery)
            ),
        )
        for name, pairs in ((FIRST_LOOK, first), (title, rest))
        if pairs
    )


def _small(one: Answered, stands: set[str], rows: TrendRows, choice: Choice, opened: str) -> Small:
    face = one.series.face
    return Small(
        name=face.name,
        moment=face.moment,
        unit=one.ruler.words,
        url=choice.link("opened", metric=face.key),
        numbers_url=choice.link("numbers", metric=face.key),
        svg=small_trend(picture_of(one, rows.cues, most=MOST_SMALL)),
        row=one.series.latest.row,
        change_word=words.change_word(one),
        change_numbers=words.change_numbers(one),
        change_interval=words.change_interval(one),
        is_real=one.is_real,
        stands=face.key in stands,
        is_open=face.key == opened,
    )


def _standing(many: list[Answered]) -> set[str]:
    mask = benjamini_hochberg(p_values(many))
    return {one.series.face.key for one, is_kept in zip(many, mask, strict=True) if is_kept and one.is_real}


def _chance(many: list[Answered], stands: set[str]) -> str:
    tested = [one for one in many if one.answer.p == one.answer.p]
    real = [one.series.face for one in tested if one.is_real]
    lost = [face.name for face in real if face.key not in stands]
    return words.by_chance_words(len(real), len(tested), expected_by_chance(p_values(many)), lost)


def _for_history(many: Sequence[Pair], shown: Sequence[Pair], choice: Choice) -> list[Pair]:
    """What is shown small, and whatever was ever flagged in these sessions."""
    keys = {pair[0].face.key for pair in shown}
    listed = [pair for pair in many if pair[0].face.key in keys or any(is_flag(row) for _, row in pair[0].pairs)]
    return in_order(listed, by_delivery=choice.by_delivery)


def _methods(rows: TrendRows, choice: Choice) -> tuple[MethodLink, ...]:
    return tuple(
        MethodLink(
            words.METHOD_WORDS.get(method, method),
            rows.methods[method],
            choice.link(method=method, metric="", older=""),
            method == rows.method,
        )
        for method in words.METHOD_WORDS
        if method in rows.methods
    )


def _notices(rows: TrendRows, choice: Choice, many: Sequence[Pair]) -> tuple[str, ...]:
    said = []
    if choice.metric and not any(pair[0].face.key == choice.metric for pair in many):
        said.append("That metric was not measured in these sessions; the one that weighs most is open instead.")
    if rows.total > len(rows.sessions):
        said.append(
            f"The newest {MOST_SESSIONS} of {rows.total:,} sessions are drawn and judged here; a metric’s CSV has all."
        )
    if len(rows.sessions) > MOST_SMALL:
        said.append(f"Small charts draw the newest {MOST_SMALL} findings; their words speak of all that are read.")
    if rows.lagging:
        said.append(f"Being recomputed: {counted(rows.lagging, 'session')} changed after the findings were made.")
    return tuple(said)


def _empty_page(rows: TrendRows, choice: Choice) -> TrendsPage:
    if not rows.sessions:
        empty = (
            "A chart for every metric will stand here, with the range as it applied on each day, once a session has "
            "been measured; from the fifth on it says what is really changing."
        )
    else:
        empty = "These sessions have no findings with a value yet: nothing can be drawn over time."
    return TrendsPage(
        choice=choice,
        title=words.period_words(rows.sessions) if rows.sessions else "",
        measured=words.measured_words(rows.method, rows.sessions) if rows.sessions else "",
        methods=_methods(rows, choice),
        notices=(),
        empty=empty,
        opened=None,
        groups=(),
        all_count=0,
        chance="",
        history=None,
    )
