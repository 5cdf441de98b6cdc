"""Long tables as text, one row a value."""

from __future__ import annotations

from tests.corpus.columns import columns_named
from tests.corpus.made import SHORT, CorpusFile, Size, expected_of, sessions_of
from tests.corpus.shapes import lead_of, long, pitch_label, short_label
from tests.corpus.tables import Told
from tests.corpus.texts import GERMAN, SPANISH, Typing


def long_plain(size: Size) -> CorpusFile:
    """Every metric by its English name, unit in a column of its own."""
    told = Told(sessions_of(size, columns_named("en"), 41), columns_named("en"))
    grid = long(told, ("Athlete", "Date", "Throw", "Metric", "Value", "Unit"))
    return CorpusFile("long_plain.csv", Typing().file(grid), expected_of(told))


def long_german(size: Size) -> CorpusFile:
    """Semicolons, decimal commas, German words for the columns too."""
    told = Told(sessions_of(size, columns_named("de"), 42), columns_named("de"))
    grid = long(told, ("Athlet", "Datum", "Wurf", "Messgröße", "Wert", "Einheit"))
    return CorpusFile("long_german.csv", GERMAN.file(grid), expected_of(told), day_first=True)


def long_with_events(size: Size) -> CorpusFile:
    """Metric and event in two columns, tabs, throws called T1."""
    told = Told(sessions_of(size, columns_named("en"), 43), columns_named("en"))
    first = ("Name", "Date", "Trial", "Variable", "Event", "Value", "Unit")
    grid = long(told, first, lead_of(told, short_label), event=True)
    return CorpusFile("long_with_events.tsv", Typing(delimiter="\t").file(grid), expected_of(told))


def long_from_a_program(size: Size) -> CorpusFile:
    """Names as identifiers, athletes by code, miles per hour, no header word that a person would choose."""
    columns = columns_named("snake", *SHORT, units={"ball_speed": "mph"})
    told = Told(sessions_of(size, columns, 44), columns, by_code=True)
    grid = long(told, ("subject_id", "date", "trial_no", "variable", "value", "units"))
    return CorpusFile("long_from_a_program.csv", Typing(line_end="\n").file(grid), expected_of(told))


def long_without_units(size: Size) -> CorpusFile:
    """No unit column, Spanish, pitches called Pitch 01."""
    told = Told(sessions_of(size, columns_named("es", *SHORT), 45), columns_named("es", *SHORT))
    first = ("Jugador", "Fecha", "Lanzamiento", "Variable", "Valor")
    grid = long(told, first, lead_of(told, pitch_label), unit=False)
    known = {column.metric: column.unit for column in told.columns}
    data = SPANISH.file(grid)
    return CorpusFile("long_without_units.csv", data, expected_of(told), day_first=True, units=known)


LONG_MAKERS = (long_plain, long_german, long_with_events, long_from_a_program, long_without_units)
