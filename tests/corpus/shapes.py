"""The shapes that tables have: functions from what is told to a grid of values. Nothing here knows of characters."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Iterable, Sequence
from decimal import Decimal

from tests.corpus.people import Session, Throw
from tests.corpus.tables import Grid, Told, Value

Label = Callable[[int], str]
Lead = Callable[[Session, Throw], list[Value]]

SUMMARIES = ("Mean", "SD", "CV", "Min", "Max")


def plain_label(number: int) -> str:
    return str(number)


def short_label(number: int) -> str:
    return f"T{number}"


def pitch_label(number: int) -> str:
    return f"Pitch {number:02d}"


def trial_label(number: int) -> str:
    return f"trial_{number:02d}"


def lead_of(told: Told, label: Label = plain_label) -> Lead:
    """The usual first columns: athlete, date, throw."""
    return lambda session, throw: [told.athlete(session.person), session.day, label(throw.number)]


def wide(told: Told, first: Sequence[str] = ("Athlete", "Date", "Throw"), lead: Lead | None = None) -> Grid:
    """One row a throw, one column a metric."""
    begin = lead or lead_of(told)
    rows = [[*begin(session, throw), *told.row(session, throw)] for session, throw in told.throws()]
    return [[*first, *(column.header for column in told.columns)], *rows]


def long(told: Told, first: Sequence[str], lead: Lead | None = None, *, event: bool = False, unit: bool = True) -> Grid:
    """One row a value: the lead, metric, event where asked, value, unit where asked. ``first`` names all columns."""
    begin = lead or lead_of(told)
    grid: Grid = [list(first)]
    for session, throw in told.throws():
        for column in told.columns:
            said = [column.bare, column.event] if event else [column.header]
            value = told.cell(session, throw, column)
            grid.append([*begin(session, throw), *said, value, *([column.unit] if unit else [])])
    return grid


def transposed(
    told: Told,
    session: Session,
    head: Sequence[Sequence[Value]],
    *,
    corner: str,
    label: Label,
    summaries: Sequence[str],
) -> Grid:
    """A block of lines, an empty line, then one row a metric, one column a throw, and summary columns at the end."""
    names = [label(throw.number) for throw in session.throws]
    grid: Grid = [*(list(line) for line in head), [], [corner, *names, *summaries]]
    for column in told.columns:
        values = [told.cell(session, throw, column) for throw in session.throws]
        grid.append([column.header, *values, *(summary(word, values) for word in summaries)])
    return grid


def two_row_header(told: Told, first: Sequence[str] = ("Athlete", "Date", "Throw"), *, repeat: bool = False) -> Grid:
    """Event above metric; an event stands over its first column only, as merged cells are exported, unless repeated."""
    ordered = sorted(told.columns, key=lambda column: column.event)
    events, last = [], None
    for column in ordered:
        events.append(column.event if repeat or column.event != last else None)
        last = column.event
    grid = wide(Told(told.sessions, ordered, told.gaps, told.by_code), first)
    return [[*(None for _ in first), *events], [*first, *(column.bare for column in ordered)], *grid[1:]]


def with_summary_rows(told: Told, grid: Grid, words: Iterable[str] = SUMMARIES, *, lead: int = 3) -> Grid:
    """Summary rows after each session's throws, their word in the last column before the values."""
    result, rest = grid[:1], grid[1:]
    for session in told.sessions:
        block, rest = rest[: len(session.throws)], rest[len(session.throws) :]
        result += block
        for word in words:
            values = [summary(word, [row[place] for row in block]) for place in range(lead, len(grid[0]))]
            result.append([block[0][0], *([None] * (lead - 2)), word, *values])
    return result


def summary(word: str, values: Sequence[Value]) -> Value:
    """Mean, SD, CV in percent, Min or Max (also in German) of the numbers among the values."""
    numbers = [float(value) for value in values if isinstance(value, Decimal)]
    if len(numbers) < 2:
        return None
    mean, sd = statistics.fmean(numbers), statistics.stdev(numbers)
    known = {
        "Mean": mean, "Mittelwert": mean, "SD": sd, "CV": 100 * sd / mean, "Min": min(numbers), "Max": max(numbers),
    }  # fmt: skip
    return Decimal(f"{known[word]:.2f}")
