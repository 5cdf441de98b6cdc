"""Tables as workbooks."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from itertools import groupby
from statistics import fmean

from tests.corpus.block_files import head_lines
from tests.corpus.columns import columns_named, with_headers
from tests.corpus.made import SHORT, CorpusFile, Size, expected_of, sessions_of
from tests.corpus.shapes import short_label, transposed, two_row_header, wide, with_summary_rows
from tests.corpus.tables import Expected, Grid, Told
from tests.corpus.texts import GERMAN, SERIAL_ZERO
from tests.corpus.workbooks import Cell, Formula, as_text, workbook

ROUND, SQUARE = "{name} ({unit})", "{name} [{unit}]"
DEGREES = {"deg": "°", "deg/s": "°/s"}


def book_plain(size: Size) -> CorpusFile:
    """One sheet, real dates, every metric."""
    columns = with_headers(columns_named("en"), form=ROUND)
    told = Told(sessions_of(replace(size, days=2), columns, 61), columns)
    grid = [[_moment(value) if isinstance(value, date) else value for value in row] for row in wide(told)]
    return CorpusFile("book_plain.xlsx", workbook({"Export": grid}), expected_of(told))


def book_serial_dates(size: Size) -> CorpusFile:
    """Days as plain numbers without a date's format."""
    columns = with_headers(columns_named("en", *SHORT), form=ROUND)
    told = Told(sessions_of(size, columns, 62), columns)
    grid = [
        [Decimal((value - SERIAL_ZERO).days) if isinstance(value, date) else value for value in row]
        for row in wide(told)
    ]
    return CorpusFile("book_serial_dates.xlsx", workbook({"Data": grid}), expected_of(told))


def book_of_text(size: Size) -> CorpusFile:
    """Every number kept as text, with decimal commas and German dates."""
    columns = with_headers(columns_named("de", *SHORT), form=SQUARE, symbols=DEGREES)
    told = Told(sessions_of(size, columns, 63), columns)
    grid = as_text(wide(told, ("Athlet", "Datum", "Wurf")), GERMAN)
    return CorpusFile("book_of_text.xlsx", workbook({"Tabelle1": grid}), expected_of(told), day_first=True)


def book_with_merged_events(size: Size) -> CorpusFile:
    """The event in merged cells above its metrics."""
    columns = columns_named("en")
    told = Told(sessions_of(size, columns, 64), columns)
    grid = two_row_header(told)
    counts = [len(list(group)) for _, group in groupby(sorted(column.event for column in columns))]
    starts = [4 + sum(counts[:at]) for at in range(len(counts))]
    merged = [
        f"{_letters(start)}1:{_letters(start + count - 1)}1"
        for start, count in zip(starts, counts, strict=True)
        if count > 1
    ]
    known = {column.metric: column.unit for column in columns}
    data = workbook({"Session": grid}, {"Session": merged})
    return CorpusFile("book_with_merged_events.xlsx", data, expected_of(told), units=known)


def book_of_formulas(size: Size) -> CorpusFile:
    """Ball speed in m/s computed from a radar's mph; averages under the throws; one division by nothing."""
    columns = with_headers(columns_named("en", *(one for one in SHORT if one != "ball_speed")), form=ROUND)
    ball = with_headers(columns_named("en", "ball_speed"), form=ROUND)[0]
    told = Told(sessions_of(size, [*columns, ball], 65), columns)
    grid: list[list[Cell]] = [[*wide(told)[0], "Radar", ball.header]]
    expected = expected_of(told)
    radar = 3 + len(columns)
    for session, throw in told.throws():
        mph = Decimal(f"{throw.values['ball_speed'] / 0.44704:.1f}")
        kept = float(mph) * 0.44704
        row = [told.athlete(session.person), session.day, str(throw.number), *told.row(session, throw)]
        formula = Formula(f"{_letters(radar + 1)}{len(grid) + 1}*0.44704", kept)
        grid.append([*row, mph, formula])
        expected.append(Expected(told.athlete(session.person), session.day, throw.number, "ball_speed", kept, "br"))
    last = len(grid)
    averages = [
        Formula(
            f"AVERAGE({_letters(place)}2:{_letters(place)}{last})", fmean(float(row[place - 1]) for row in grid[1:])
        )
        for place in range(4, 4 + len(columns))
    ]
    grid.append([None, None, "Mean", *averages, None, Formula("1/0", "#DIV/0!")])
    return CorpusFile("book_of_formulas.xlsx", workbook({"Throws": grid}), expected)


def sheet_an_athlete(size: Size) -> CorpusFile:
    """The athlete is the sheet's title and stands nowhere else."""
    columns = with_headers(columns_named("en", *SHORT), form=ROUND)
    told = Told(sessions_of(size, columns, 66), columns)
    sheets = {session.person.name: [row[1:] for row in wide(Told([session], columns))] for session in told.sessions}
    return CorpusFile("sheet_an_athlete.xlsx", workbook(sheets), expected_of(told))


def sheet_a_block(size: Size) -> CorpusFile:
    """A sheet an athlete, each transposed under its block of lines, with Mean, SD and CV."""
    columns = with_headers(columns_named("en"), form=ROUND)
    told = Told(sessions_of(size, columns, 67), columns)
    sheets = {
        session.person.name: transposed(
            told, session, head_lines(session), corner="Metric", label=short_label, summaries=("Mean", "SD", "CV")
        )
        for session in told.sessions
    }
    return CorpusFile("sheet_a_block.xlsx", workbook(sheets), expected_of(told))


def sheets_of_days(size: Size) -> CorpusFile:
    """A sheet of words, a sheet a day with summaries, and an empty one, as a new workbook has them."""
    columns = with_headers(columns_named("en", *SHORT), form=ROUND)
    told = Told(sessions_of(replace(size, days=2), columns, 68), columns)
    words: Grid = [["Report of the hall"], ["Prepared by", "the lab"], ["Questions to the front desk"]]
    sheets: dict[str, Grid] = {"Info": words}
    for day in sorted({session.day for session in told.sessions}):
        own = Told([session for session in told.sessions if session.day == day], columns)
        sheets[f"Day {day.day}.{day.month}"] = with_summary_rows(own, wide(own), ("Mean", "SD"))
    return CorpusFile("sheets_of_days.xlsx", workbook({**sheets, "Sheet3": []}), expected_of(told))


def _moment(day: date) -> datetime:
    return datetime(day.year, day.month, day.day)


def _letters(column: int) -> str:
    """A, B, … Z, AA for 1, 2, … 26, 27."""
    text = ""
    while column:
        column, place = divmod(column - 1, 26)
        text = chr(ord("A") + place) + text
    return text


BOOK_MAKERS = (
    book_plain,
    book_serial_dates,
    book_of_text,
    book_with_merged_events,
    book_of_formulas,
    sheet_an_athlete,
    sheet_a_block,
    sheets_of_days,
)
