"""Transposed tables as text: who and when above, one row a metric, one column a throw, summaries at the end."""

from __future__ import annotations

from dataclasses import replace

from tests.corpus.columns import columns_named, with_headers
from tests.corpus.made import SHORT, CorpusFile, Size, expected_of, sessions_of
from tests.corpus.people import Session
from tests.corpus.shapes import pitch_label, plain_label, short_label, transposed, trial_label
from tests.corpus.tables import Grid, Told
from tests.corpus.texts import GERMAN, Typing, english_words

ROUND = "{name} ({unit})"


def head_lines(session: Session) -> Grid:
    """The block above the table, label and value side by side."""
    person = session.person
    return [
        ["Athlete", person.name],
        ["ID", person.code],
        ["Date", session.day],
        ["Height", f"{person.height_m:.2f} m"],
    ]


def block(size: Size) -> CorpusFile:
    """Every metric of one athlete, Mean, SD and CV at the end."""
    columns = with_headers(columns_named("en"), form=ROUND)
    told = Told(sessions_of(replace(size, athletes=1), columns, 51), columns)
    session = told.sessions[0]
    grid = transposed(
        told, session, head_lines(session), corner="Metric", label=short_label, summaries=("Mean", "SD", "CV")
    )
    return CorpusFile("block.csv", Typing().file(grid), expected_of(told))


def block_german(size: Size) -> CorpusFile:
    """UTF-16 with tabs and decimal commas; labels end with a colon."""
    columns = with_headers(columns_named("de"), form="{name} [{unit}]", symbols={"deg": "°", "deg/s": "°/s"})
    told = Told(sessions_of(replace(size, athletes=1), columns, 52), columns)
    session = told.sessions[0]
    head: Grid = [
        ["Athlet:", session.person.name],
        ["Datum:", session.day],
        ["Größe:", f"{session.person.height_m * 100:.0f} cm"],
    ]
    label = {n: f"Wurf {n}" for n in range(1, size.throws + 1)}.__getitem__
    grid = transposed(told, session, head, corner="Messgröße", label=label, summaries=("Mittelwert", "SD"))
    typing = replace(GERMAN, delimiter="\t", encoding="utf-16-le", mark=b"\xff\xfe")
    return CorpusFile("block_german.txt", typing.file(grid), expected_of(told), day_first=True)


def block_without_summaries(size: Size) -> CorpusFile:
    """Trials by file name, the date in words, label and value in one cell, nothing in the corner."""
    columns = with_headers(columns_named("short", *SHORT), form=ROUND)
    told = Told(sessions_of(replace(size, athletes=1), columns, 53), columns)
    session = told.sessions[0]
    head: Grid = [[f"Subject: {session.person.name}"], [f"Date: {english_words(session.day)}"]]
    grid = transposed(told, session, head, corner="", label=trial_label, summaries=())
    return CorpusFile("block_without_summaries.csv", Typing(line_end="\n").file(grid), expected_of(told))


def block_with_unit_column(size: Size) -> CorpusFile:
    """Units in a column of their own beside the metric, numbers for names of the throws."""
    columns = columns_named("en", *SHORT, units={"ball_speed": "mph"})
    told = Told(sessions_of(replace(size, athletes=1), columns, 54), columns)
    session = told.sessions[0]
    grid = transposed(told, session, (), corner="Metric", label=plain_label, summaries=("Mean", "SD"))
    units = [None, "Unit", *(column.unit for column in columns)]
    body = [[row[0], unit, *row[1:]] if row else [] for row, unit in zip(grid, units, strict=True)]
    return CorpusFile("block_with_unit_column.csv", Typing().file(head_lines(session) + body), expected_of(told))


def blocks_below_each_other(size: Size) -> CorpusFile:
    """One athlete under the other in one file."""
    columns = with_headers(columns_named("en", *SHORT), form=ROUND)
    told = Told(sessions_of(size, columns, 55), columns)
    grid: Grid = []
    for session in told.sessions:
        grid += transposed(
            told, session, head_lines(session), corner="Metric", label=pitch_label, summaries=("Mean", "SD")
        )
        grid += [[], []]
    return CorpusFile("blocks_below_each_other.csv", Typing().file(grid), expected_of(told))


BLOCK_MAKERS = (block, block_german, block_without_summaries, block_with_unit_column, blocks_below_each_other)
